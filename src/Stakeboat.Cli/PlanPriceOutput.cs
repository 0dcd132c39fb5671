using System.Globalization;
using System.Text.Json;
using Stakeboat.Core.Plans;
using Stakeboat.Reports;

namespace Stakeboat.Cli;

/// <summary>A plan's price as text and as JSON.</summary>
internal static class PlanPriceOutput
{
    public static void Text(TextWriter output, PricedPlan p, IReadOnlyList<PlanAnswer> answers, (string Name, CompiledPlan Plan)[] rivals)
    {
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Shape: {p.Price.Seconds:0.0} s slower than the fastest way to spend the same energy."));
        output.WriteLine(PlanPriceText.Oxygen(p));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Conditions: {p.ConditionsCost:+0.0;-0.0;0.0} s against calm, deep, fresh water at 20 C."));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Finish of a crew that finds its effort: {PlanPaperText.Clock(p.Forecast.Low90)} to {PlanPaperText.Clock(p.Forecast.High90)} in 90 of 100 races."));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"As written, at {p.Price.WrittenPower:0} W a rower: W' runs out before the line in {100 * p.Price.ChanceEmpty:0} of 100."));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"If it does: {p.Price.LossHolding:0.0} s lost going on at critical power, {p.Price.LossFading:0.0} s at 90 % of it."));
        foreach (double share in (ReadOnlySpan<double>)[0.25, 0.5, 0.75, 1])
        {
            double at = share * p.Price.Written.Samples[^1].Metres;
            var sample = p.Price.Written.Samples.Last(s => s.Metres <= at + 1e-6);
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  W' left at {share * p.Plan.Distance.Metres:0} m: {Math.Max(sample.Store, 0) / 1000:0.0} of {p.Crew.Power.WPrime / 1000:0.0} kJ a rower"));
        }

        output.WriteLine(PlanPriceText.Energy(p));
        if (p.Along.Count > 1)
        {
            output.WriteLine("Head wind along the bends: " + string.Join(", ", p.Along.Select(a => string.Create(
                CultureInfo.InvariantCulture, $"{Core.Physics.Wind.HeadPart(a.Conditions.WindSpeed, a.Conditions.WindAngle):+0.0;-0.0;0.0} m/s from {a.From:0} m"))) + ".");
        }

        if (PlanPriceText.Waves(p) is { } waves)
        {
            output.WriteLine(waves);
        }

        if (answers.Count > 0)
        {
            output.WriteLine("If they come:");
            foreach (var a in answers)
            {
                output.WriteLine("  " + PlanPriceText.Answer(a));
            }
        }

        if (rivals.Length > 0)
        {
            output.WriteLine();
            output.WriteLine("If everyone rowed as written (positive: we lead)");
            output.WriteLine("       m     ours  rate" + string.Concat(rivals.Select(r => "  " + r.Name.PadLeft(26))));
            foreach (var row in PlansBeside.Rows(p.Plan, [.. rivals.Select(r => r.Plan)]))
            {
                output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{row.At.Metres,8:0} {PlanPaperText.Clock(row.Ours.Seconds),8} {row.Rates[0],5:0.#}")
                    + string.Concat(rivals.Select((_, i) => "  " + string.Create(CultureInfo.InvariantCulture, $"{row.Gaps[i]:+0.0;-0.0;0.0} s {row.Metres[i]:+0.0;-0.0;0.0} m at {row.Rates[i + 1]:0.#}").PadLeft(26))));
            }
        }

        output.WriteLine(PlanPriceText.Honest);
    }

    public static void Json(TextWriter output, PricedPlan p, IReadOnlyList<PlanAnswer> answers, (string Name, CompiledPlan Plan)[] rivals)
    {
        using var stream = new OutputStream(output);
        using var j = new Utf8JsonWriter(stream, new JsonWriterOptions { Indented = true });
        j.WriteStartObject();
        j.WriteNumber("shapeSeconds", Math.Round(p.Price.Seconds, 3));
        j.WriteNumber("conditionsSeconds", Math.Round(p.ConditionsCost, 3));
        j.WriteNumber("fastestSeconds", Math.Round(p.Price.Fastest.Seconds, 3));
        j.WriteNumber("medianSeconds", Math.Round(p.Forecast.Median, 3));
        j.WriteNumber("low90", Math.Round(p.Forecast.Low90, 3));
        j.WriteNumber("high90", Math.Round(p.Forecast.High90, 3));
        j.WriteNumber("chanceEmpty", Math.Round(p.Price.ChanceEmpty, 4));
        j.WriteNumber("lossHolding", Math.Round(p.Price.LossHolding, 3));
        j.WriteNumber("lossFading", Math.Round(p.Price.LossFading, 3));
        j.WriteNumber("cp", Math.Round(p.Crew.Power.Cp, 1));
        j.WriteNumber("wPrime", Math.Round(p.Crew.Power.WPrime, 0));
        FitTable.Covariance(j, "covariance", [p.Day.CpSd * p.Day.CpSd, p.Day.Cov, p.Day.Cov, p.Day.StoreSd * p.Day.StoreSd]);
        j.WriteString("energy", p.Source.ToString().ToLowerInvariant());
        j.WriteStartObject("againstEvenPower");
        foreach (var o in p.Price.UnderOxygenLaws)
        {
            j.WriteNumber(char.ToLowerInvariant(o.Law.ToString()[0]) + o.Law.ToString()[1..], Math.Round(o.AgainstEven, 3));
        }

        j.WriteEndObject();
        j.WriteStartArray("waves");
        foreach (var w in p.Waves)
        {
            j.WriteStartObject();
            j.WriteString("method", w.Method);
            j.WriteNumber("height", Math.Round(w.Height, 4));
            j.WriteNumber("period", Math.Round(w.Period, 3));
            j.WriteEndObject();
        }

        j.WriteEndArray();
        j.WriteStartArray("headWind");
        foreach (var a in p.Along)
        {
            j.WriteStartObject();
            j.WriteNumber("from", a.From);
            j.WriteNumber("head", Math.Round(Core.Physics.Wind.HeadPart(a.Conditions.WindSpeed, a.Conditions.WindAngle), 3));
            j.WriteEndObject();
        }

        j.WriteEndArray();
        j.WriteStartArray("answers");
        foreach (var a in answers)
        {
            j.WriteStartObject();
            j.WriteNumber("line", a.Line);
            j.WriteString("trigger", a.Trigger);
            j.WriteNumber("at", a.SupposedAt);
            j.WriteNumber("strokes", a.Strokes);
            j.WriteNumber("metres", Math.Round(a.Metres, 1));
            j.WriteNumber("secondsWon", Math.Round(a.SecondsWon, 3));
            j.WriteNumber("storeSpent", Math.Round(a.StoreSpent, 0));
            if (a.ReplacesLine is { } line)
            {
                j.WriteNumber("replacesLine", line);
            }

            j.WriteEndObject();
        }

        j.WriteEndArray();
        j.WriteStartArray("beside");
        var rows = PlansBeside.Rows(p.Plan, [.. rivals.Select(r => r.Plan)]);
        for (int i = 0; i < rivals.Length; i++)
        {
            j.WriteStartObject();
            j.WriteString("name", rivals[i].Name);
            j.WriteNumber("seconds", Math.Round(rivals[i].Plan.Finish.Time.Seconds, 3));
            j.WriteStartArray("marks");
            foreach (var row in rows)
            {
                j.WriteStartObject();
                j.WriteNumber("at", row.At.Metres);
                j.WriteNumber("gap", Math.Round(row.Gaps[i], 3));
                j.WriteNumber("metres", Math.Round(row.Metres[i], 2));
                j.WriteEndObject();
            }

            j.WriteEndArray();
            j.WriteEndObject();
        }

        j.WriteEndArray();
        j.WriteStartArray("along");
        foreach (var s in p.Price.Written.Samples.Where((_, i) => i % 10 == 0))
        {
            j.WriteStartObject();
            j.WriteNumber("metres", Math.Round(s.Metres, 1));
            j.WriteNumber("seconds", Math.Round(s.Seconds, 2));
            j.WriteNumber("speed", Math.Round(s.Speed, 3));
            j.WriteNumber("watts", Math.Round(s.Watts, 1));
            j.WriteNumber("store", Math.Round(s.Store, 0));
            j.WriteEndObject();
        }

        j.WriteEndArray();
        j.WriteEndObject();
    }
}
