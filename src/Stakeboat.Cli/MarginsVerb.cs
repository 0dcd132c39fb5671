using System.CommandLine;
using System.Globalization;
using System.Text;
using System.Text.Json;
using Stakeboat.Core.Debrief;
using Stakeboat.Core.Margins;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;
using Stakeboat.Exchange;

namespace Stakeboat.Cli;

/// <summary><c>margins FOLDER</c>: each rival's margin at every second with its 90 % interval.</summary>
internal static class MarginsVerb
{
    public static Command Create()
    {
        var folder = new Argument<string>("FOLDER") { Description = "Folder of a race: race.json with captions, a track or result.json." };
        var csv = new Option<bool>("--csv") { Description = "A line for every second and crew: t,crew,metres,sd,low90,high90,seats,speed." };
        var json = new Option<bool>("--json") { Description = "The same with our own distance, the order and how each call was understood." };
        var covariance = new Option<bool>("--covariance") { Description = "With --json: the full covariance over time for every crew, m²." };
        var unit = new Option<string>("--in") { Description = "Unit of the table for people: seats, metres, lengths, canvases or seconds.", DefaultValueFactory = _ => "seats" };
        unit.AcceptOnlyFromAmong("seats", "metres", "lengths", "canvases", "seconds");
        var command = new Command("margins", "Who was where at every second, and how sure that is. Positive: we lead.") { folder, csv, json, covariance, unit };
        command.Validators.Add(result =>
        {
            if (result.GetValue(covariance) && !result.GetValue(json))
            {
                result.AddError("--covariance belongs to --json: give both.");
            }

            if (result.GetValue(csv) && result.GetValue(json))
            {
                result.AddError("Give either --csv or --json.");
            }
        });
        command.SetAction(parsed =>
        {
            var output = parsed.InvocationConfiguration.Output;
            var race = RaceFolder.Solve(parsed.GetValue(folder)!, parsed.InvocationConfiguration.Error);
            if (parsed.GetValue(json))
            {
                WriteJson(race, output, parsed.GetValue(covariance));
            }
            else if (parsed.GetValue(csv))
            {
                WriteCsv(race, output);
            }
            else
            {
                WriteText(race, parsed.GetValue(unit)!, output);
            }

            return ExitCode.Done;
        });
        return command;
    }

    private static string F(double v, string format = "0.###") => v.ToString(format, CultureInfo.InvariantCulture);

    private static void WriteCsv(RaceMargins race, TextWriter output)
    {
        output.WriteLine("t,crew,metres,sd,low90,high90,seats,speed");
        var s = race.Solution;
        for (int i = 0; i < s.Seconds.Length; i++)
        {
            foreach (var r in s.Rivals)
            {
                var m = r.At(i);
                output.WriteLine(string.Join(',', F(race.Go.Mean + s.Seconds[i]), CsvText.Field(r.Rival.Name), F(m.Mean), F(m.Sd), F(m.Low90), F(m.High90),
                    F(m.Mean / s.Problem.Us.SeatSpacing.Metres), F(r.Speed[i].Mean)));
            }
        }
    }

    /// <summary>A margin in a unit of the two hulls.</summary>
    private static double In(string unit, double metres, HullGauge gauge, double speedBehind) => unit switch
    {
        "metres" => metres,
        "lengths" => gauge.ToLengths(Distance.FromMetres(metres)),
        "canvases" => gauge.ToCanvases(Distance.FromMetres(metres)),
        "seconds" => metres / Math.Max(speedBehind, 0.5),
        _ => gauge.ToSeats(Distance.FromMetres(metres)),
    };

    private static void WriteText(RaceMargins race, string unit, TextWriter output)
    {
        var s = race.Solution;
        string format = unit is "lengths" or "seconds" ? "+0.00;-0.00;0.00" : "+0.0;-0.0;0.0", half = unit is "lengths" or "seconds" ? "0.00" : "0.0";
        output.WriteLine(race.Go.Mean == 0
            ? $"Times from go; finish at {F(race.Finish, "0.0")} s. Margins in {unit}, ± half of the 90 % interval; positive: we lead."
            : $"Go at {F(race.Go.Mean, "0.0")} s, finish at {F(race.Finish, "0.0")} s of the recording. Margins in {unit}, ± half of the 90 % interval; positive: we lead.");
        output.WriteLine();
        output.Write("  race    our m");
        foreach (var r in s.Rivals)
        {
            output.Write($"  {r.Rival.Name,16}");
        }

        output.WriteLine();
        for (int i = 0; i < s.Seconds.Length; i++)
        {
            bool last = i == s.Seconds.Length - 1;
            if (!last && (s.Seconds[i] % 30 != 0 || s.Seconds[^1] - s.Seconds[i] < 10))
            {
                continue;
            }

            int t = (int)Math.Round(s.Seconds[i]);
            output.Write($"{t / 60,3}:{t % 60:00}  {F(Math.Max(s.Own.Metres[i].Mean, 0), "0"),6}");
            foreach (var r in s.Rivals)
            {
                var m = r.At(i);
                var gauge = new HullGauge(s.Problem.Us, r.Rival.Hull);
                double speed = unit == "seconds" ? m.Mean >= 0 ? r.Speed[i].Mean : s.Own.Speed[i].Mean : 1;
                double middle = In(unit, m.Mean, gauge, speed), width = Math.Abs(In(unit, Math.CopySign(m.High90 - m.Mean, m.Mean), gauge, speed));
                string text = $"{F(middle, format)} ±{F(width, half)}";
                output.Write($"  {text,16}");
            }

            output.WriteLine();
        }

        if (s.Rivals.Count == 0)
        {
            return;
        }

        output.WriteLine();
        var end = Standings.At(s, s.End);
        for (int c = 0; c < end.Crews.Count; c++)
        {
            int place = Array.IndexOf(end.Place[c], end.Place[c].Max());
            output.WriteLine($"{end.Crews[c] ?? "we"}: place {place + 1} at our finish with probability {F(end.Place[c][place], "0.00")}.");
        }

        var lead = Standings.WhenAhead(s, null, Lead.ForGood);
        if (lead is { Median: { } median, Low90: { } low, High90: { } high })
        {
            output.WriteLine($"Ahead of everyone to the end since {F(median, "0")} s after go (90 %: {F(low, "0")} to {F(high, "0")}) with probability {F(1 - lead.Never, "0.00")}.");
        }

        var wrong = s.Evidence.Count(e => e.GrossError > 0.5);
        if (wrong > 0)
        {
            output.WriteLine(wrong == 1 ? "One call does not fit the rest and was set aside." : $"{wrong} calls do not fit the rest and were set aside.");
        }
    }

    private static void WriteJson(RaceMargins race, TextWriter output, bool covariance)
    {
        using var stream = new MemoryStream();
        using (var w = new Utf8JsonWriter(stream))
        {
            Document(w, race, covariance);
        }

        output.WriteLine(Encoding.UTF8.GetString(stream.ToArray()));
    }

    private static void Document(Utf8JsonWriter w, RaceMargins race, bool covariance)
    {
        var s = race.Solution;
        w.WriteStartObject();
        w.WriteNumber("go", Round(race.Go.Mean));
        w.WriteNumber("goSd", Round(race.Go.Sd));
        w.WriteNumber("finish", Round(race.Finish));
        Numbers(w, "t", s.Seconds.Select(t => race.Go.Mean + t));
        Numbers(w, "ourMetres", s.Own.Metres.Select(e => e.Mean));
        Numbers(w, "ourMetresSd", s.Own.Metres.Select(e => e.Sd));
        w.WriteNumber("coxBias", Round(s.CoxBias.Mean));
        w.WriteNumber("coxBiasSd", Round(s.CoxBias.Sd));
        w.WriteNumber("waysToUnderstand", s.Modes);
        w.WriteBoolean("settled", s.Converged);
        Numbers(w, "ourSpeed", s.Own.Speed.Select(e => e.Mean));
        Numbers(w, "ourSpeedSd", s.Own.Speed.Select(e => e.Sd));
        w.WriteStartArray("crews");
        foreach (var r in s.Rivals)
        {
            w.WriteStartObject();
            w.WriteString("crew", r.Rival.Name);
            w.WriteBoolean("anyEvidence", r.AnyEvidence);
            Numbers(w, "metres", r.Mean);
            Numbers(w, "sd", r.Sd);
            Numbers(w, "low90", Enumerable.Range(0, r.Mean.Length).Select(i => r.At(i).Low90));
            Numbers(w, "high90", Enumerable.Range(0, r.Mean.Length).Select(i => r.At(i).High90));
            Numbers(w, "speed", r.Speed.Select(e => e.Mean));
            Numbers(w, "speedSd", r.Speed.Select(e => e.Sd));
            if (covariance)
            {
                double[] c = s.CovarianceOf(r.Rival.Name);
                int n = r.Mean.Length;
                w.WriteStartArray("covariance");
                for (int i = 0; i < n; i++)
                {
                    w.WriteStartArray();
                    for (int j = 0; j < n; j++)
                    {
                        w.WriteNumberValue(Math.Round(c[i * n + j], 5));
                    }

                    w.WriteEndArray();
                }

                w.WriteEndArray();
            }

            w.WriteEndObject();
        }

        w.WriteEndArray();
        w.WriteStartArray("order");
        for (int i = 0; i < s.Seconds.Length; i += 10)
        {
            Order(w, race, Standings.At(s, Instant<RaceClock>.FromSeconds(s.Seconds[i])));
        }

        Order(w, race, Standings.At(s, s.End));
        w.WriteEndArray();
        if (covariance)
        {
            Across(w, s);
        }

        w.WriteStartArray("ahead");
        foreach (string? crew in (string?[])[null, .. s.Rivals.Count > 1 ? s.Rivals.Select(r => r.Rival.Name) : []])
        {
            Ahead(w, race, crew, Lead.First, "first");
            Ahead(w, race, crew, Lead.ForGood, "forGood");
        }

        w.WriteEndArray();
        Understood(w, race);
        w.WriteEndObject();
    }

    /// <summary>Covariance of the margins among the crews at every second, in the order of "crews".</summary>
    private static void Across(Utf8JsonWriter w, MarginSolution s)
    {
        int n = s.Rivals.Count;
        w.WriteStartArray("covarianceAcrossCrews");
        for (int i = 0; i < s.Seconds.Length; i++)
        {
            double[] c = s.CovarianceAcross(i);
            w.WriteStartArray();
            for (int row = 0; row < n; row++)
            {
                w.WriteStartArray();
                for (int column = 0; column < n; column++)
                {
                    w.WriteNumberValue(Math.Round(c[row * n + column], 5));
                }

                w.WriteEndArray();
            }

            w.WriteEndArray();
        }

        w.WriteEndArray();
    }

    /// <summary>When we went ahead of a crew (of all: null), as probabilities of bins of time.</summary>
    private static void Ahead(Utf8JsonWriter w, RaceMargins race, string? crew, Lead which, string name)
    {
        if (race.Solution.Rivals.Count == 0)
        {
            return;
        }

        var lead = Standings.WhenAhead(race.Solution, crew, which);
        w.WriteStartObject();
        w.WriteString("of", crew);
        w.WriteString("which", name);
        w.WriteNumber("never", Round(lead.Never));
        foreach (var (key, value) in ((string, double?)[])[("low90", lead.Low90), ("median", lead.Median), ("high90", lead.High90)])
        {
            if (value is { } v)
            {
                w.WriteNumber(key, Round(race.Go.Mean + v));
            }
            else
            {
                w.WriteNull(key);
            }
        }

        Numbers(w, "until", lead.Seconds.Select(t => race.Go.Mean + t));
        Numbers(w, "probability", lead.Probability);
        w.WriteEndObject();
    }

    private static void Order(Utf8JsonWriter w, RaceMargins race, Standing standing)
    {
        w.WriteStartObject();
        w.WriteNumber("t", Round(race.Go.Mean + standing.At.Seconds));
        w.WriteStartObject("placeProbabilities");
        for (int c = 0; c < standing.Crews.Count; c++)
        {
            Numbers(w, standing.Crews[c] ?? "us", standing.Place[c]);
        }

        w.WriteEndObject();
        w.WriteEndObject();
    }

    private static void Understood(Utf8JsonWriter w, RaceMargins race)
    {
        w.WriteStartArray("understood");
        foreach (var e in race.Solution.Evidence.Where(e => e.Evidence.Source >= 0 && e.Evidence is PositionEvidence or EitherEvidence or ChangeEvidence))
        {
            w.WriteStartObject();
            w.WriteNumber("call", e.Evidence.Source);
            w.WriteNumber("t", Round(race.Go.Mean + e.Evidence.At.Seconds));
            w.WriteNumber("grossError", Round(e.GrossError));
            w.WriteStartArray("readings");
            for (int i = 0; i < e.Posterior.Count; i++)
            {
                w.WriteStartObject();
                w.WriteString("crew", e.Crews[i]);
                w.WriteString("reading", e.Labels[i]);
                w.WriteNumber("probability", Round(e.Posterior[i]));
                w.WriteEndObject();
            }

            w.WriteEndArray();
            w.WriteEndObject();
        }

        w.WriteEndArray();
    }

    private static double Round(double v) => Math.Round(v, 4);

    private static void Numbers(Utf8JsonWriter w, string name, IEnumerable<double> values)
    {
        w.WriteStartArray(name);
        foreach (double v in values)
        {
            w.WriteNumberValue(Round(v));
        }

        w.WriteEndArray();
    }
}
