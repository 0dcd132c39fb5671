using System.CommandLine;
using System.Globalization;
using System.Text;
using System.Text.Json;
using Stakeboat.Core.Debrief;
using Stakeboat.Core.Margins;
using Stakeboat.Core.Units;
using Stakeboat.Exchange;

namespace Stakeboat.Cli;

/// <summary><c>moves FOLDER</c>: what each burst, ours and theirs, won or lost.</summary>
internal static class MovesVerb
{
    private const string Columns =
        "crew,from,to,strokes,rival,seats,low90,high90,held,heldLow90,heldHigh90,trend,beyond,beyondLow90,beyondHigh90,share,shareLow90,shareHigh90,distinguishable,origin";

    public static Command Create()
    {
        var folder = new Argument<string>("FOLDER") { Description = "Folder of a race: race.json with captions, a track or result.json." };
        var csv = new Option<bool>("--csv") { Description = $"A line for every move and rival: {Columns}." };
        var json = new Option<bool>("--json") { Description = "The same as JSON." };
        var command = new Command("moves", "Seats that each move won during it, and held twenty strokes after, with 90 % intervals. Positive: for us.") { folder, csv, json };
        command.Validators.Add(result =>
        {
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
                WriteJson(race, output);
            }
            else if (parsed.GetValue(csv))
            {
                output.WriteLine(Columns);
                foreach (var (move, gain) in Rows(race))
                {
                    output.WriteLine(string.Join(',', Values(race, move, gain).Select(v => v.Number ? v.Text : CsvText.Field(v.Text))));
                }
            }
            else
            {
                WriteText(race, output);
            }

            return ExitCode.Done;
        });
        return command;
    }

    private static IEnumerable<(Move Move, MoveGain Gain)> Rows(RaceMargins race) =>
        race.Moves.SelectMany(m => m.Gains.Select(g => (m.Move, g)));

    private static string F(double v, string format = "0.###") => v.ToString(format, CultureInfo.InvariantCulture);

    private static Estimate Seats(Estimate metres, MoveGain gain) => new(metres.Mean / gain.SeatMetres, metres.Sd / gain.SeatMetres);

    private static IEnumerable<(string Name, string Text, bool Number)> Values(RaceMargins race, Move move, MoveGain gain)
    {
        Estimate gained = Seats(gain.Gained, gain), held = Seats(gain.Held, gain), trend = Seats(gain.Trend, gain),
            beyond = Seats(gain.Beyond, gain), share = Seats(gain.Share, gain);
        yield return ("crew", move.Crew ?? race.OurName, false);
        yield return ("from", F(race.Go.Mean + move.From.Seconds), true);
        yield return ("to", F(race.Go.Mean + move.To.Seconds), true);
        yield return ("strokes", F(move.Strokes), true);
        yield return ("rival", gain.Rival, false);
        yield return ("seats", F(gained.Mean), true);
        yield return ("low90", F(gained.Low90), true);
        yield return ("high90", F(gained.High90), true);
        yield return ("held", F(held.Mean), true);
        yield return ("heldLow90", F(held.Low90), true);
        yield return ("heldHigh90", F(held.High90), true);
        yield return ("trend", F(trend.Mean), true);
        yield return ("beyond", F(beyond.Mean), true);
        yield return ("beyondLow90", F(beyond.Low90), true);
        yield return ("beyondHigh90", F(beyond.High90), true);
        yield return ("share", F(share.Mean), true);
        yield return ("shareLow90", F(share.Low90), true);
        yield return ("shareHigh90", F(share.High90), true);
        yield return ("distinguishable", gain.Distinguishable ? "yes" : "no", false);
        yield return ("origin", move.Origin switch
        {
            MoveOrigin.Called => "called",
            MoveOrigin.Planned => "planned",
            MoveOrigin.RivalCalled => "rival",
            _ => "found",
        }, false);
    }

    private static void WriteText(RaceMargins race, TextWriter output)
    {
        if (race.Moves.Count == 0)
        {
            output.WriteLine("No move was called, and no change of relative speed stands out.");
            return;
        }

        output.WriteLine("Seats won (positive: by us) with the 90 % interval; \"held\": 20 strokes after; \"trend\": what the 20 s before would have given.");
        foreach (var m in race.Moves)
        {
            output.WriteLine();
            string who = m.Move.Crew ?? "We";
            string how = m.Move.Origin == MoveOrigin.Found ? "(nobody called it)" : $"{F(m.Move.Strokes, "0")} strokes";
            output.WriteLine($"{who}, {F(race.Go.Mean + m.Move.From.Seconds, "0")} to {F(race.Go.Mean + m.Move.To.Seconds, "0")} s, {how}");
            foreach (var g in m.Gains)
            {
                Estimate gained = Seats(g.Gained, g), held = Seats(g.Held, g), trend = Seats(g.Trend, g), share = Seats(g.Share, g);
                string doubt = g.Distinguishable ? g.BeyondTrend ? "" : "; not distinguishable from the trend" : "; not distinguishable from zero";
                string shared = g.SharedWith.Count > 0
                    ? $"; its share beyond the trend beside an overlapping move {F(share.Mean, "+0.0;-0.0;0.0")} ({F(share.Low90, "+0.0;-0.0;0.0")} to {F(share.High90, "+0.0;-0.0;0.0")})"
                    : "";
                output.WriteLine($"  {g.Rival}: {F(gained.Mean, "+0.0;-0.0;0.0")} ({F(gained.Low90, "+0.0;-0.0;0.0")} to {F(gained.High90, "+0.0;-0.0;0.0")}), held {F(held.Mean, "+0.0;-0.0;0.0")} ({F(held.Low90, "+0.0;-0.0;0.0")} to {F(held.High90, "+0.0;-0.0;0.0")}), trend {F(trend.Mean, "+0.0;-0.0;0.0")}{doubt}{shared}");
            }
        }
    }

    private static void WriteJson(RaceMargins race, TextWriter output)
    {
        using var stream = new MemoryStream();
        using (var w = new Utf8JsonWriter(stream))
        {
            w.WriteStartArray();
            foreach (var (move, gain) in Rows(race))
            {
                w.WriteStartObject();
                foreach (var (name, text, number) in Values(race, move, gain))
                {
                    w.WritePropertyName(name);
                    if (number)
                    {
                        w.WriteRawValue(text);
                    }
                    else
                    {
                        w.WriteStringValue(text);
                    }
                }

                w.WriteEndObject();
            }

            w.WriteEndArray();
        }

        output.WriteLine(Encoding.UTF8.GetString(stream.ToArray()));
    }
}
