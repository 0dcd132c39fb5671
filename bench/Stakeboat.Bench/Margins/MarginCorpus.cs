using System.Globalization;
using System.Text.Json;
using Stakeboat.Core.Calls;
using Stakeboat.Core.Debrief;
using Stakeboat.Core.Margins;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;
using Stakeboat.Exchange.Calls;
using Stakeboat.Readers;

namespace Stakeboat.Bench.Margins;

/// <summary>
/// Runs the margin engine on a copy of every labelled race without its labels and truth, then scores it against the truth: with the engine's own
/// calls (and, to part the ear from the eye, with the labels), with and without the result sheet.
/// </summary>
internal static class MarginCorpus
{
    public static int Run(string[] args)
    {
        string root = args.FirstOrDefault(a => !a.StartsWith('-')) ?? Path.Combine("data", "corpus");
        bool detail = args.Contains("--detail");
        Console.WriteLine("| race | calls | result sheet | held by 90 % intervals | median half width, seats | median error, seats | ahead or behind at the finish right | order right | moves held | go error, s |");
        Console.WriteLine("|---|---|---|---|---|---|---|---|---|---|");
        int all = 0, held = 0, moves = 0, movesHeld = 0;
        foreach (string folder in Directory.GetDirectories(root).Order(StringComparer.Ordinal))
        {
            if (!File.Exists(Path.Combine(folder, "truth.json")))
            {
                continue;
            }

            using var truth = JsonDocument.Parse(File.ReadAllText(Path.Combine(folder, "truth.json")));
            if (!truth.RootElement.GetProperty("margins").EnumerateObject().Any())
            {
                continue;
            }

            foreach (bool labels in (bool[])[false, true])
            {
                foreach (bool withResult in (bool[])[true, false])
                {
                    if (withResult && !File.Exists(Path.Combine(folder, "result.json")))
                    {
                        continue;
                    }

                    var race = Solve(folder, labels, withResult);
                    var (n, h, m, mh) = Score(Path.GetFileName(folder), race, truth.RootElement, labels, withResult, detail);
                    if (!labels)
                    {
                        all += n;
                        held += h;
                        moves += m;
                        movesHeld += mh;
                    }
                }
            }
        }

        Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"| all | own | | {100.0 * held / Math.Max(1, all):0.0} % | | | | | {movesHeld}/{moves} | |"));
        return 0;
    }

    private static RaceMargins? Solve(string folder, bool labels, bool withResult)
    {
        string copy = Path.Combine(Path.GetTempPath(), "stakeboat-margins-" + Path.GetFileName(folder));
        Directory.CreateDirectory(copy);
        try
        {
            foreach (string file in Directory.GetFiles(folder))
            {
                string name = Path.GetFileName(file);
                if (name is not ("calls.jsonl" or "truth.json") && (withResult || name != "result.json"))
                {
                    File.Copy(file, Path.Combine(copy, name), overwrite: true);
                }
            }

            if (OutingFolder.Read(copy).Value is not { } outing)
            {
                return null;
            }

            if (!labels)
            {
                return RaceDebrief.Make(new DebriefInput(outing)).Margins;
            }

            var calls = Labels(folder);
            var sensors = outing.Tracks.Count > 0 || outing.Motions.Count > 0
                ? SensorAnalysis.Analyse(new SensorInput(outing.Motions.FirstOrDefault(), outing.Tracks.FirstOrDefault(), outing.Sheet?.Distance))
                : null;
            return RaceMargins.Of(outing, calls, RaceTimes.Find(calls, outing.Sheet, outing.Result, null, null), sensors);
        }
        finally
        {
            Directory.Delete(copy, recursive: true);
        }
    }

    private static List<HeardCall> Labels(string folder)
    {
        var calls = new List<HeardCall>();
        foreach (string line in File.ReadLines(Path.Combine(folder, "calls.jsonl")))
        {
            if (line.Length == 0)
            {
                continue;
            }

            // A label lacks what only the ear knows.
            string whole = "{\"id\":0,\"tSd\":0.2,\"confidence\":0.97,\"words\":\"\",\"cue\":0," + line[1..];
            var part = JsonSerializer.Deserialize<Exchange.Debriefs.CallPart>(whole, JsonSerializerOptions.Web)!;
            calls.Add(new HeardCall(Instant<RecordingClock>.FromSeconds(part.T), 0.2, CallParts.ToCall(part), 0.97, "", 0, []));
        }

        return calls;
    }

    private static (int Seconds, int Held, int Moves, int MovesHeld) Score(
        string name, RaceMargins? race, JsonElement truth, bool labels, bool withResult, bool detail)
    {
        string who = labels ? "labels" : "own", sheet = withResult ? "with" : "without";
        if (race is null)
        {
            Console.WriteLine($"| {name} | {who} | {sheet} | no start found | | | | | | |");
            return (0, 0, 0, 0);
        }

        int n = 0, held = 0, right = 0, crews = 0;
        var half = new List<double>();
        var error = new List<double>();
        double finish = truth.GetProperty("finishAt").GetDouble(), go = truth.GetProperty("goAt").GetDouble();
        double seat = race.Solution.Problem.Us.SeatSpacing.Metres;
        var atEnd = new List<(double True, double Found)>();
        foreach (var crew in truth.GetProperty("margins").EnumerateObject())
        {
            double last = 0, lastFound = 0;
            if (detail)
            {
                Console.Write("    " + crew.Name + " error/sd:");
            }

            foreach (var p in crew.Value.EnumerateArray())
            {
                double t = p.GetProperty("t").GetDouble(), m = p.GetProperty("metres").GetDouble();
                if (t > finish || t <= go)
                {
                    continue;
                }

                var e = race.Solution.MarginAt(crew.Name, Instant<RaceClock>.FromSeconds(t - race.Go.Mean));
                if (detail)
                {
                    Console.Write(string.Create(CultureInfo.InvariantCulture, $" {t - go:0}:{e.Mean - m:0.0}/{e.Sd:0.0}"));
                }

                n++;
                held += m >= e.Low90 && m <= e.High90 ? 1 : 0;
                half.Add((e.High90 - e.Mean) / seat);
                error.Add(Math.Abs(e.Mean - m) / seat);
                (last, lastFound) = (m, e.Mean);
            }

            if (detail)
            {
                Console.WriteLine();
            }

            crews++;
            right += Math.Sign(last) == Math.Sign(lastFound) ? 1 : 0;
            atEnd.Add((last, lastFound));
        }

        bool order = atEnd.OrderBy(a => a.True).SequenceEqual(atEnd.OrderBy(a => a.Found)) && right == crews;
        var (moves, movesHeld) = Moves(race, truth, seat, detail && !labels);
        half.Sort();
        error.Sort();
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"| {name} | {who} | {sheet} | {100.0 * held / n:0.0} % | {half[half.Count / 2]:0.00} | {error[error.Count / 2]:0.00} | {right}/{crews} | {(order ? "yes" : "no")} | {movesHeld}/{moves} | {race.Go.Mean - go:0.0} |"));
        if (detail)
        {
            Details(race, truth);
        }

        return (n, held, moves, movesHeld);
    }

    /// <summary>True bursts whose middle lies in a move that was found of the same crew: is the true gain inside the interval?</summary>
    private static (int Moves, int Held) Moves(RaceMargins race, JsonElement truth, double seat, bool detail)
    {
        int moves = 0, held = 0;
        foreach (var burst in truth.GetProperty("moves").EnumerateArray())
        {
            double from = burst.GetProperty("from").GetDouble(), to = burst.GetProperty("to").GetDouble();
            string crew = burst.GetProperty("crew").GetString()!;
            var found = race.Moves.FirstOrDefault(m => (m.Move.Crew ?? race.OurName) == crew
                && race.Go.Mean + m.Move.From.Seconds < 0.5 * (from + to) && race.Go.Mean + m.Move.To.Seconds > 0.5 * (from + to));
            foreach (var rival in burst.GetProperty("seatsByRival").EnumerateObject())
            {
                if (found?.Gains.FirstOrDefault(g => g.Rival == rival.Name) is not { } gain)
                {
                    continue;
                }

                moves++;
                double seats = rival.Value.GetDouble();
                bool inside = seats >= gain.Gained.Low90 / seat && seats <= gain.Gained.High90 / seat;
                held += inside ? 1 : 0;
                if (detail)
                {
                    Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
                        $"    move {crew} true {from:0}-{to:0} found {race.Go.Mean + found.Move.From.Seconds:0}-{race.Go.Mean + found.Move.To.Seconds:0} {rival.Name}: true {seats:0.00}, {gain.Gained.Low90 / seat:0.0} to {gain.Gained.High90 / seat:0.0}"));
                }
            }
        }

        return (moves, held);
    }

    private static void Details(RaceMargins race, JsonElement truth)
    {
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"    strength {race.Solution.Strength}, bias {race.Solution.CoxBias}, sweeps {race.Solution.Sweeps}, converged {race.Solution.Converged}"));
        foreach (var e in race.Solution.Evidence.Where(e => e.Evidence is PositionEvidence or EitherEvidence or ChangeEvidence))
        {
            int best = Enumerable.Range(0, e.Posterior.Count).MaxBy(i => e.Posterior[i]);
            double t = race.Go.Mean + e.Evidence.At.Seconds - 1;
            string? crew = e.Crews[best];
            double m = crew is null ? double.NaN : Truth(truth, crew, t);
            string claim = e.Evidence switch
            {
                PositionEvidence p => string.Create(CultureInfo.InvariantCulture, $"{p.Low:0.0}..{p.High:0.0} trust {p.Spread.Trust:0.00}"),
                EitherEvidence x => string.Create(CultureInfo.InvariantCulture, $"{string.Join(" or ", x.Readings.Select(r => $"{r.Crew} {r.Low:0.0}..{r.High:0.0} ({r.Weight:0.00})").Take(4))} trust {x.Spread.Trust:0.00}"),
                ChangeEvidence c => string.Create(CultureInfo.InvariantCulture, $"change {c.Low:0.0}..{c.High:0.0} since {race.Go.Mean + c.Since.Seconds:0}"),
                _ => "",
            };
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"    {t:0} {crew} true {m:0.0} told {claim} best {e.Labels[best]} p {e.Posterior[best]:0.00} gross {e.GrossError:0.00}"));
        }
    }

    private static double Truth(JsonElement truth, string crew, double t)
    {
        double before = double.NaN, at = 0;
        foreach (var p in truth.GetProperty("margins").GetProperty(crew).EnumerateArray())
        {
            double x = p.GetProperty("t").GetDouble(), m = p.GetProperty("metres").GetDouble();
            if (x >= t)
            {
                return double.IsNaN(before) ? m : before + (m - before) * (t - at) / (x - at);
            }

            (before, at) = (m, x);
        }

        return before;
    }
}
