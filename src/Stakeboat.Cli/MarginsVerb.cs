using System.CommandLine;
using System.Globalization;
using System.Text;
using System.Text.Json;
using Stakeboat.Core.Debrief;
using Stakeboat.Core.Margins;
using Stakeboat.Core.Time;
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
        var command = new Command("margins", "Who was where at every second, and how sure that is. Positive: we lead.") { folder, csv, json, covariance };
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
                WriteText(race, output);
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

    private static void WriteText(RaceMargins race, TextWriter output)
    {
        var s = race.Solution;
        double seat = s.Problem.Us.SeatSpacing.Metres;
        output.WriteLine($"Go at {F(race.Go.Mean, "0.0")} s, finish at {F(race.Finish, "0.0")} s of the recording. Margins in seats, ± half of the 90 % interval; positive: we lead.");
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
            output.Write($"{t / 60,3}:{t % 60:00}  {F(s.Own.Metres[i].Mean, "0"),6}");
            foreach (var r in s.Rivals)
            {
                var m = r.At(i);
                string text = $"{F(m.Mean / seat, "+0.0;-0.0;0.0")} ±{F((m.High90 - m.Mean) / seat, "0.0")}";
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
        Understood(w, race);
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
