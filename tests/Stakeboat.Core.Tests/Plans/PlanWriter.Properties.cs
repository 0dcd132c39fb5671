using System.Globalization;
using Stakeboat.Core.Boats;
using Stakeboat.Core.Energetics;
using Stakeboat.Core.Plans;

namespace Stakeboat.Core.Tests.Plans;

/// <summary>A plan written back as text reads as the same plan: 1500 invented plans and every plan of the other tests.</summary>
public sealed class PlanWriterPropertiesTests
{
    private static readonly string[] Words = ["legs", "hips", "their bow ball", "catches", "sit up", "length", "ratio", "the finish"];

    [Fact]
    public void Written_and_read_again_it_is_the_same_plan()
    {
        var random = new Random(20261125);
        for (int i = 0; i < 1500; i++)
        {
            var sheet = Invent(random);
            string text = PlanWriter.Write(sheet);
            var again = PlanText.Parse(text);
            Assert.True(again.Issues.Count == 0, $"{text}\n{string.Join('\n', again.Issues)}");
            Assert.Equal(Flat(sheet), Flat(again));
            Assert.Equal(text, PlanWriter.Write(again));
        }
    }

    [Fact]
    public void A_plan_as_it_is_spoken_compiles_to_the_same_finish()
    {
        var sheet = PlanText.Parse(PlanAnatomyTests.Good);
        var again = PlanText.Parse(PlanWriter.Write(sheet));
        Assert.Equal(Flat(sheet), Flat(again));
        var before = PlanCompiler.Compile(sheet).Plan!;
        var after = PlanCompiler.Compile(again).Plan!;
        Assert.Equal(before.Finish.Time.Seconds, after.Finish.Time.Seconds, 9);
        Assert.Equal(before.Finish.Strokes, after.Finish.Strokes, 9);
    }

    /// <summary>Everything that a plan says, without lines and spelling.</summary>
    private static string Flat(PlanSheet sheet)
    {
        var b = new System.Text.StringBuilder();
        foreach (var v in sheet.Variants)
        {
            var h = v.Head;
            b.Append(CultureInfo.InvariantCulture, $"{v.Name}|{v.When}|{h.Title}|{h.Crew}|{h.Course}|{h.Date}|{h.Boat?.Code}|{h.Metres:R}|{h.BaseSecPer500:R}|{h.GoalSeconds:R}|{h.BaseRate:R}|{h.LiftPercent:R}|");
            b.Append(CultureInfo.InvariantCulture, $"{(h.Wind is { } w ? w with { Line = 0 } : null)}|{h.WaterCelsius:R}|{h.AirCelsius:R}|{h.StreamMps:R}|{h.DepthMetres:R}|{h.FetchMetres:R}|{h.RollingStart}|");
            b.Append(string.Join(',', h.Headings)).Append(string.Join(',', h.Rivals)).Append(string.Join(',', h.Marks.Select(m => m with { Line = 0 })));
            b.Append(CultureInfo.InvariantCulture, $"{h.Own.Energy}|{h.Own.Reference}|{h.Own.AirShare:R}|").Append(string.Join(',', h.Own.Efforts)).Append(string.Join(',', h.Own.Pieces)).Append(string.Join(',', h.Own.Ladder)).Append('\n');
            foreach (var s in v.Segments)
            {
                b.Append((s with { Line = 0, Fractions = [], Ladder = null }).ToString()).Append(string.Join(',', s.Fractions))
                    .Append(s.Ladder is { } l ? string.Join(',', l.Rates) + l.UpBy + l.Every + l.EveryInStrokes : "").Append('\n');
            }

            foreach (var c in v.Cues)
            {
                b.Append((c with { Line = 0, TriggerText = "", ActionText = "" }).ToString()).Append('\n');
            }
        }

        return b.ToString();
    }

    private static PlanSheet Invent(Random r)
    {
        if (r.Next(3) > 0)
        {
            return new PlanSheet([new PlanVariant("A", null, 0, Head(r), Many(r, 5, Segment), Many(r, 6, Cue))], []);
        }

        return new PlanSheet([.. "ABC"[..r.Next(2, 4)].Select((letter, i) =>
            new PlanVariant(letter.ToString(), i == 0 ? null : Pick(r, "head wind", "lane one", "they go early"), 0, Head(r), [Segment(r), .. Many(r, 4, Segment)], Many(r, 4, Cue)))], []);
    }

    private static PlanHead Head(Random r) => new()
    {
        Title = Maybe(r, "Saturday final"), Crew = Maybe(r, "Saltmarsh, first boat"), Course = Maybe(r, "the long reach"), Date = Maybe(r, "2026-05-16"),
        Boat = r.Next(2) == 0 ? null : BoatClass.All[r.Next(BoatClass.All.Count)], Metres = Num(r, 200, 6000), BaseSecPer500 = Num(r, 80, 150), GoalSeconds = Num(r, 200, 1500),
        BaseRate = Num(r, 24, 42), LiftPercent = Num(r, -1, 4),
        Wind = r.Next(3) switch { 0 => null, 1 => new PlanWind(0, N(r, 0.1, 9), Pick(r, 0.0, 45, 90, 135, 180), null, r.Next(2) == 0), _ => new PlanWind(0, N(r, 0, 9), null, N(r, 0, 360), r.Next(2) == 0) },
        WaterCelsius = Num(r, -2, 40), AirCelsius = Num(r, -40, 55),
        Headings = r.Next(3) switch { 0 => [], 1 => [new HeadingPart(N(r, 0, 360), null)], _ => [new HeadingPart(N(r, 0, 360), N(r, 100, 500)), new HeadingPart(N(r, 0, 360), N(r, 600, 900)), new HeadingPart(N(r, 0, 360), null)] },
        StreamMps = Num(r, 0.1, 2) is { } stream ? (r.Next(2) == 0 ? stream : -stream) : null, DepthMetres = Num(r, 0.5, 30), FetchMetres = Num(r, 50, 9000), RollingStart = r.Next(4) == 0,
        Rivals = r.Next(2) == 0 ? [] : ["Larkmoor", "Fellside second"],
        Marks = r.Next(2) == 0 ? [] : [new PlanMark(0, "boathouse", new MetresGone(N(r, 1, 900))), new PlanMark(0, "red buoys", new MetresLeft(N(r, 1, 900)))],
        Own = new PlanCrewFacts
        {
            Energy = r.Next(2) == 0 ? null : new PlanEnergy(N(r, 200, 500), N(r, 8000, 40000), Num(r, 1, 20), Num(r, 500, 5000)),
            Efforts = r.Next(2) == 0 ? [] : [new BestEffort(N(r, 120, 200), N(r, 300, 600)), new BestEffort(N(r, 200, 900), N(r, 200, 500))],
            Pieces = r.Next(2) == 0 ? [] : [new BestPiece(N(r, 400, 600), N(r, 80, 100)), new BestPiece(2000, N(r, 350, 420))],
            Ladder = r.Next(2) == 0 ? [] : [new PaceAtRate(N(r, 20, 28), N(r, 100, 130)), new PaceAtRate(N(r, 30, 42), N(r, 85, 100))],
            AirShare = r.Next(2) == 0 ? null : r.Next(1, 50) / 100.0, Reference = r.Next(2) == 0 ? null : new ReferencePace(N(r, 80, 150), Num(r, 0.1, 2)),
        },
    };

    private static SegmentLine Segment(Random r)
    {
        var kind = Pick(r, SegmentKind.High, SegmentKind.Settle, SegmentKind.Base, SegmentKind.Build, SegmentKind.Move, SegmentKind.Sprint, SegmentKind.Start);
        var extent = new SegmentExtent(Num(r, 1, 60), Num(r, 20, 900), Num(r, 5, 200), r.Next(2) == 0 ? null : Place(r), Num(r, 50, 500), Num(r, 5, 60));
        var ladder = r.Next(3) switch
        {
            0 => null,
            1 => new RateLadder([N(r, 30, 40), N(r, 30, 42), N(r, 30, 44)]),
            _ => new RateLadder([], Pick(r, 1.0, 2, -1), Pick(r, (double?)null, 100, 10), false),
        };
        ladder = ladder is { Every: not null } ? ladder with { EveryInStrokes = r.Next(2) == 0 } : ladder;
        return new SegmentLine(
            0, kind, kind.ToString().ToLowerInvariant(), extent, Num(r, 20, 46), Num(r, 20, 46), Num(r, 80, 140), Num(r, -30, 80), r.Next(2) == 0 ? null : Words[r.Next(Words.Length)],
            r.Next(2) == 0 ? null : Words[r.Next(Words.Length)] + ", " + Words[r.Next(Words.Length)], kind == SegmentKind.Start ? [0.5, 0.75, 1.0 / 3, 1] : [], ladder);
    }

    private static CueLine Cue(Random r)
    {
        int? strokes = r.Next(2) == 0 ? null : r.Next(1, 60);
        double? rate = Num(r, 20, 46), by = r.Next(2) == 0 ? null : Pick(r, 1.0, 2, -1.5);
        int? over = (rate is not null || by is not null) && r.Next(2) == 0 ? r.Next(1, strokes ?? 20) : null;
        PlanTrigger trigger = r.Next(8) switch
        {
            0 => new EveryTrigger(N(r, 50, 500), r.Next(2) == 0),
            1 => new BeforeStartTrigger(),
            2 => new RivalMovesTrigger(Maybe(r, "Larkmoor")),
            3 => new ThroughTheirMoveTrigger(Maybe(r, "Fellside second"), Pick<int?>(r, null, 10, 15, 20), Pick(r, 0.5, 1)),
            4 => new MarginTrigger(Maybe(r, "Larkmoor"), true, Pick(r, "5", "bow", "cox")),
            5 => new MarginTrigger(null, false, Pick(r, "3", "stroke")),
            6 => new WordsTrigger("we hit the wash of the launch"),
            _ => new PlaceTrigger(Place(r)),
        };
        bool anything = strokes is not null || rate is not null || by is not null;
        return new CueLine(
            0, trigger, "", "", strokes, Num(r, 5, 60), Num(r, 20, 300), rate, by, r.Next(2) == 0 ? null : r.Next(1, 6), over, Num(r, -20, 40),
            r.Next(2) == 0 ? null : Words[r.Next(Words.Length)], !anything || r.Next(2) == 0 ? Words[r.Next(Words.Length)] : null, r.Next(5) == 0);
    }

    private static PlanPlace Place(Random r) => r.Next(8) switch
    {
        0 => new MetresGone(N(r, 1, 2000)),
        1 => new MetresLeft(N(r, 1, 2000)),
        2 => new StrokeNumber(r.Next(1, 250)),
        3 => new StrokesLeft(r.Next(1, 60)),
        4 => new SecondsGone(N(r, 5, 400)),
        5 => new AtMark(Pick(r, "boathouse", "red buoys")),
        6 => new HalfWay(),
        _ => new FinishLine(),
    };

    private static double N(Random r, double low, double high) => Some(r, low, high) + 0.0;

    private static double Some(Random r, double low, double high) => r.Next(3) switch
    {
        0 => Math.Round(low + (high - low) * r.NextDouble(), 0) is var whole && whole > low ? whole : Math.Ceiling(high),
        1 => Math.Round(low + (high - low) * r.NextDouble(), 1) is var tenth && tenth > low ? tenth : high,
        _ => Math.Round(low + (high - low) * r.NextDouble(), 3) is var fine && fine > low ? fine : high,
    };

    private static double? Num(Random r, double low, double high) => r.Next(2) == 0 ? null : N(r, low, high);

    private static string? Maybe(Random r, string s) => r.Next(2) == 0 ? null : s;

    private static T Pick<T>(Random r, params T[] of) => of[r.Next(of.Length)];

    private static List<T> Many<T>(Random r, int most, Func<Random, T> make) => [.. Enumerable.Range(0, r.Next(most + 1)).Select(_ => make(r))];
}
