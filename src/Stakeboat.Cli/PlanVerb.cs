using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Stakeboat.Core.Energetics;
using Stakeboat.Core.Pacing;
using Stakeboat.Core.Plans;
using Stakeboat.Reports;

namespace Stakeboat.Cli;

/// <summary><c>plan check|price|card FILE</c>: reads a race plan as it is written.</summary>
internal static class PlanVerb
{
    public static Command Create() => new("plan", "A race plan from its text: check it, price it, print it.") { Check(), Price(), Card() };

    private static Command Check()
    {
        var file = new Argument<string>("FILE") { Description = "A plan as text; see docs/plans/text.md." };
        var json = new Option<bool>("--json") { Description = "Issues, segments and cues with metres, strokes and seconds." };
        var command = new Command("check", "Compile the plan to metres, strokes and seconds, and name what contradicts itself.") { file, json };
        command.SetAction(parsed =>
        {
            var output = parsed.InvocationConfiguration.Output;
            string path = parsed.GetValue(file)!;
            var sheet = PlanText.Parse(Read(path));
            bool good = true;
            var results = sheet.Variants.Select(v => PlanCompiler.Compile(sheet, v.Name)).DefaultIfEmpty(PlanCompiler.Compile(sheet)).ToArray();
            if (parsed.GetValue(json))
            {
                WriteJson(output, results);
                return results.All(r => r.Plan is not null) ? ExitCode.Done : ExitCode.Data;
            }

            var said = new HashSet<string>(StringComparer.Ordinal);
            foreach (var result in results)
            {
                foreach (var i in result.Issues)
                {
                    string line = string.Create(CultureInfo.InvariantCulture, $"{path}:{i.Line}: {(i.Severity == PlanSeverity.Remark ? "remark: " : "")}{i.Sentence}");
                    if (said.Add(line))
                    {
                        output.WriteLine(line);
                    }
                }

                good &= result.Plan is not null;
                if (result.Plan is { } plan)
                {
                    WriteText(output, plan);
                }
            }

            return good ? ExitCode.Done : ExitCode.Data;
        });
        return command;
    }

    private static Command Price()
    {
        var file = new Argument<string>("FILE") { Description = "A plan as text." };
        var json = new Option<bool>("--json") { Description = "For machines." };
        var cp = new Option<double?>("--cp") { Description = "Critical power of the mean rower in the boat, W." };
        var store = new Option<double?>("--w") { Description = "W' of the mean rower, kJ." };
        var variant = new Option<string?>("--plan") { Description = "A, B or C; the first where not said." };
        var command = new Command("price", "What the plan costs in seconds, what is left along the way, and the odds of running out.") { file, json, cp, store, variant };
        command.SetAction(parsed =>
        {
            var output = parsed.InvocationConfiguration.Output;
            string path = parsed.GetValue(file)!;
            var sheet = PlanText.Parse(Read(path));
            var plan = Compile(path, sheet, parsed.GetValue(variant));
            double? watts = parsed.GetValue(cp), kilojoules = parsed.GetValue(store);
            if (watts is null != kilojoules is null || watts is <= 0 || kilojoules is <= 0)
            {
                throw new CliException(ExitCode.Usage, "Give both --cp (W) and --w (kJ) of the mean rower, both above zero, or neither.");
            }

            CrewEnergy? crew = watts is { } w ? new CrewEnergy(new CriticalPower(w, kilojoules!.Value * 1000), 2.2 * w) : null;
            var priced = PlanPricing.Price(sheet.Find(parsed.GetValue(variant))!, plan, crew);
            if (parsed.GetValue(json))
            {
                WritePriceJson(output, priced);
            }
            else
            {
                WritePrice(output, priced);
            }

            return ExitCode.Done;
        });
        return command;
    }

    private static Command Card()
    {
        var file = new Argument<string>("FILE") { Description = "A plan as text." };
        var to = new Option<string>("-o") { Description = "The PDF to write.", Required = true };
        var sheetOption = new Option<bool>("--sheet") { Description = "The A4 sheet for the crew instead of the card." };
        var variant = new Option<string?>("--plan") { Description = "A, B or C; the first where not said." };
        var date = new Option<string?>("--date") { Description = "The day to print on it; today where not said." };
        var json = new Option<bool>("--json") { Description = "Say what was written, for machines." };
        var command = new Command("card", "Print the deck card (A6) with its strip for the gunwale, or the crew's sheet (A4), as PDF.") { file, to, sheetOption, variant, date, json };
        command.SetAction(parsed =>
        {
            string path = parsed.GetValue(file)!, target = parsed.GetValue(to)!;
            var plan = Compile(path, PlanText.Parse(Read(path)), parsed.GetValue(variant));
            string day = parsed.GetValue(date) ?? DateTime.Today.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
            using var memory = new MemoryStream();
            if (parsed.GetValue(sheetOption))
            {
                PlanPaper.CrewSheet(plan, day, memory);
            }
            else
            {
                PlanPaper.DeckCard(plan, day, memory);
            }

            try
            {
                File.WriteAllBytes(target, memory.ToArray());
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                throw CliException.CannotWrite(target, e.Message);
            }

            var output = parsed.InvocationConfiguration.Output;
            if (parsed.GetValue(json))
            {
                using var stream = new OutputStream(output);
        using var j = new Utf8JsonWriter(stream);
                j.WriteStartObject();
                j.WriteString("file", target);
                j.WriteNumber("bytes", memory.Length);
                j.WriteEndObject();
            }
            else
            {
                output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{target}: {memory.Length} bytes."));
            }

            return ExitCode.Done;
        });
        return command;
    }

    private static string Read(string path)
    {
        if (!File.Exists(path))
        {
            throw CliException.NotFound(path);
        }

        return File.ReadAllText(path);
    }

    private static CompiledPlan Compile(string path, PlanSheet sheet, string? variant)
    {
        var result = PlanCompiler.Compile(sheet, variant);
        return result.Plan ?? throw new CliException(ExitCode.Data, string.Join(Environment.NewLine, result.Issues
            .Where(i => i.Severity == PlanSeverity.Error)
            .Select(i => string.Create(CultureInfo.InvariantCulture, $"{path}:{i.Line}: {i.Sentence}"))));
    }

    private static void WriteText(TextWriter output, CompiledPlan p)
    {
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Plan {p.Variant}: {p.Distance.Metres:0} m in {PlanPaperText.Clock(p.Finish.Time.Seconds)}, {p.Finish.Strokes:0} strokes."));
        output.WriteLine("                        from m  stroke    time    rate     pace  strokes");
        foreach (var s in p.Segments)
        {
            string rate = s.RateFrom.PerMinute == s.RateTo.PerMinute ? PlanPaperText.Rate(s.RateTo.PerMinute) : $"{PlanPaperText.Rate(s.RateFrom.PerMinute)}-{PlanPaperText.Rate(s.RateTo.PerMinute)}";
            output.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"{s.Name,-22}{s.From.Distance.Metres,8:0}{s.From.StrokeNumber,8}{PlanPaperText.Clock(s.From.Time.Seconds),8}{rate,8}{PlanPaperText.Clock(s.Pace.SecondsPer500),9}{s.Strokes,9:0}"));
        }

        foreach (var c in p.Cues)
        {
            output.WriteLine(c.From is { } f
                ? string.Create(CultureInfo.InvariantCulture, $"{c.TriggerText,-22}{f.Distance.Metres,8:0}{f.StrokeNumber,8}{PlanPaperText.Clock(f.Time.Seconds),8}  {c.ActionText}")
                : string.Create(CultureInfo.InvariantCulture, $"{c.TriggerText,-46}  {c.ActionText}"));
        }
    }

    private static void WriteJson(TextWriter output, IReadOnlyList<PlanResult> results)
    {
        using var stream = new OutputStream(output);
        using var j = new Utf8JsonWriter(stream, new JsonWriterOptions { Indented = true });
        j.WriteStartObject();
        j.WriteStartArray("plans");
        foreach (var r in results)
        {
            j.WriteStartObject();
            j.WriteStartArray("issues");
            foreach (var i in r.Issues)
            {
                j.WriteStartObject();
                j.WriteNumber("line", i.Line);
                j.WriteNumber("column", i.Column);
                j.WriteString("severity", i.Severity == PlanSeverity.Error ? "error" : "remark");
                j.WriteString("code", i.Code);
                j.WriteString("sentence", i.Sentence);
                j.WriteEndObject();
            }

            j.WriteEndArray();
            if (r.Plan is { } p)
            {
                j.WriteString("plan", p.Variant);
                j.WriteNumber("metres", p.Distance.Metres);
                j.WriteNumber("seconds", Math.Round(p.Finish.Time.Seconds, 3));
                j.WriteNumber("strokes", Math.Round(p.Finish.Strokes, 3));
                j.WriteStartArray("segments");
                foreach (var s in p.Segments)
                {
                    j.WriteStartObject();
                    j.WriteNumber("line", s.Line);
                    j.WriteString("kind", s.Kind.ToString().ToLowerInvariant());
                    Span(j, s.From, s.To);
                    j.WriteNumber("rateFrom", s.RateFrom.PerMinute);
                    j.WriteNumber("rateTo", s.RateTo.PerMinute);
                    j.WriteNumber("pace", Math.Round(s.Pace.SecondsPer500, 3));
                    j.WriteString("purpose", s.Purpose);
                    j.WriteEndObject();
                }

                j.WriteEndArray();
                j.WriteStartArray("cues");
                foreach (var c in p.Cues)
                {
                    j.WriteStartObject();
                    j.WriteNumber("line", c.Line);
                    j.WriteString("kind", c.Kind.ToString().ToLowerInvariant());
                    j.WriteString("trigger", c.TriggerText);
                    j.WriteString("action", c.ActionText);
                    if (c.From is { } f)
                    {
                        Span(j, f, c.To ?? f);
                    }

                    if (c.InStrokes is { } n)
                    {
                        j.WriteNumber("inStrokes", n);
                    }

                    if (c.OverStrokes is { } o)
                    {
                        j.WriteNumber("overStrokes", o);
                    }

                    j.WriteString("purpose", c.Purpose);
                    j.WriteEndObject();
                }

                j.WriteEndArray();
            }

            j.WriteEndObject();
        }

        j.WriteEndArray();
        j.WriteEndObject();
    }

    private static void Span(Utf8JsonWriter j, PlanPoint from, PlanPoint to)
    {
        j.WriteNumber("fromMetres", Math.Round(from.Distance.Metres, 2));
        j.WriteNumber("toMetres", Math.Round(to.Distance.Metres, 2));
        j.WriteNumber("fromStroke", Math.Round(from.Strokes, 3));
        j.WriteNumber("toStroke", Math.Round(to.Strokes, 3));
        j.WriteNumber("fromSeconds", Math.Round(from.Time.Seconds, 3));
        j.WriteNumber("toSeconds", Math.Round(to.Time.Seconds, 3));
    }

    private static void WritePrice(TextWriter output, PricedPlan p)
    {
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Shape: {p.Price.Seconds:0.0} s slower than the fastest way to spend the same energy."));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Conditions: {p.ConditionsCost:+0.0;-0.0;0.0} s against calm, deep, fresh water at 20 C."));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Finish of a crew that finds its effort: {PlanPaperText.Clock(p.Forecast.Low90)} to {PlanPaperText.Clock(p.Forecast.High90)} in 90 of 100 races."));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"As written, at {p.Price.WrittenPower:0} W a rower: W' runs out before the line in {100 * p.Price.ChanceEmpty:0} of 100."));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"If it does: {p.Price.LossHolding:0.0} s lost going on at critical power, {p.Price.LossFading:0.0} s at 90 % of it."));
        foreach (double share in (ReadOnlySpan<double>)[0.25, 0.5, 0.75, 1])
        {
            double at = share * p.Price.Written.Samples[^1].Metres;
            var sample = p.Price.Written.Samples.Last(s => s.Metres <= at + 1e-6);
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  W' left at {at:0} m: {Math.Max(sample.Store, 0) / 1000:0.0} of {p.Crew.Power.WPrime / 1000:0.0} kJ a rower"));
        }

        output.WriteLine(p.Source == EnergySource.Assumed
            ? "The crew's energy is assumed (it can just pay for this time, 15 % of the work from W'): give --cp and --w for its own."
            : "Energy as given.");
        output.WriteLine("The shape of a plan is worth tenths; conditions and form are worth seconds.");
    }

    private static void WritePriceJson(TextWriter output, PricedPlan p)
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
        j.WriteString("energy", p.Source.ToString().ToLowerInvariant());
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

/// <summary>Lets a JSON writer write to the command's text output.</summary>
internal sealed class OutputStream(TextWriter output) : MemoryStream
{
    private bool _done;

    protected override void Dispose(bool disposing)
    {
        if (!_done)
        {
            _done = true;
            output.WriteLine(System.Text.Encoding.UTF8.GetString(ToArray()));
        }

        base.Dispose(disposing);
    }
}
