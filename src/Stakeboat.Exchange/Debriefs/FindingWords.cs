using System.Globalization;
using Stakeboat.Core.Debrief;

namespace Stakeboat.Exchange.Debriefs;

/// <summary>A finding in plain words: one sentence with its number and interval, what would confirm it, and a line for the next plan.</summary>
public static class FindingWords
{
    public static string Kind(FindingKind kind) => kind switch
    {
        FindingKind.SegmentTime or FindingKind.SegmentRate or FindingKind.CueMissed => "plan and done",
        FindingKind.RateCalls => "rate calls",
        FindingKind.DistanceCalls => "distance calls",
        FindingKind.MarginCalls => "margin calls",
        FindingKind.OurMove => "our move",
        FindingKind.RivalMove => "their move",
        FindingKind.AnswerDelay => "answer",
        FindingKind.TechnicalCalls => "technical calls",
        FindingKind.Silence => "silence",
        FindingKind.Counting => "counting",
        FindingKind.Line => "line",
        FindingKind.StartDelay or FindingKind.StartCost => "start",
        FindingKind.SprintBegan => "sprint",
        FindingKind.Unevenness => "energy",
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "This kind of finding has no words yet."),
    };

    public static string Unit(FindingKind kind) => kind switch
    {
        FindingKind.SegmentTime or FindingKind.AnswerDelay or FindingKind.Silence or FindingKind.StartDelay or FindingKind.StartCost
            or FindingKind.Unevenness => "s",
        FindingKind.SegmentRate or FindingKind.RateCalls => "strokes/min",
        FindingKind.DistanceCalls or FindingKind.Line or FindingKind.SprintBegan or FindingKind.CueMissed => "m",
        FindingKind.MarginCalls or FindingKind.OurMove or FindingKind.RivalMove => "seats",
        FindingKind.TechnicalCalls => "m/s",
        FindingKind.Counting => "share",
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "This kind of finding has no unit yet."),
    };

    /// <summary>The sentence. Where the 90 % interval covers zero it says so.</summary>
    public static string Sentence(Finding f)
    {
        string pm = PlusMinus(f);
        string zero = f.DistinguishableFromZero ? "" : "; not distinguishable from zero";
        string subject = f.Subject;
        return f.Kind switch
        {
            FindingKind.SegmentTime => I($"{Capital(subject)} took {Num(Math.Abs(f.Value), 1)} s {(f.Value >= 0 ? "longer" : "less")} than planned (± {pm} s; plan {Num(f.Other ?? 0, 1)} s){zero}."),
            FindingKind.SegmentRate => I($"{Capital(subject)} was rowed {Num(Math.Abs(f.Value), 1)} {(f.Value >= 0 ? "above" : "below")} the planned rate of {Num(f.Other ?? 0, 1)} (± {pm}){zero}."),
            FindingKind.CueMissed => I($"The planned \"{subject}\" at {Num(f.Value, 0)} m was not heard."),
            FindingKind.RateCalls => I($"Called rates were {Num(Math.Abs(f.Value), 1)} {(f.Value >= 0 ? "above" : "below")} the rate rowed on average (± {pm}, {f.N} calls){zero}."),
            FindingKind.DistanceCalls => I($"Distances were called {Num(Math.Abs(f.Value), 0)} m {(f.Value >= 0 ? "before the boat was there" : "after the boat had passed")} on average (± {pm} m, {f.N} calls){zero}."),
            FindingKind.MarginCalls => I($"Margins to {subject} were called {Num(Math.Abs(f.Value), 1)} seats {(f.Value >= 0 ? "better" : "worse")} than the estimate on average (± {pm}, {f.N} calls){zero}."),
            FindingKind.OurMove => I($"Our move {(f.Value >= 0 ? "won" : "lost")} {Num(Math.Abs(f.Value), 1)} seats on {subject} beyond the trend (± {pm}){Held(f)}{zero}."),
            FindingKind.RivalMove => I($"{subject}'s move {(f.Value >= 0 ? "won" : "lost")} them {Num(Math.Abs(f.Value), 1)} seats on us beyond the trend (± {pm}){Held(f)}{zero}."),
            FindingKind.AnswerDelay => I($"{(subject.Length == 0 ? "A rival's move" : subject + "'s move")} was answered after {Num(f.Value, 1)} s (± {pm} s){Lost(f)}."),
            FindingKind.TechnicalCalls => I($"After {f.N} calls on {subject.ToLowerInvariant()} speed changed by {Signed(f.Value, 2)} m/s within five strokes (± {pm}){(f.Other is { } o ? I($" and stood at {Signed(o, 2)} in the five after") : "")}{Tried(f)}{zero}."),
            FindingKind.Silence => I($"The longest time without a call was {Num(f.Value, 0)} s."),
            FindingKind.Counting => I($"{Num(100 * f.Value, 0)} % of the race's calls were counted strokes ({Num(100 * f.Low90, 0)} to {Num(100 * f.High90, 0)} %, {f.N} calls)."),
            FindingKind.Line => I($"The line cost {Num(f.Value, 1)} m above the shortest (± {pm} m){zero}."),
            FindingKind.StartDelay => I($"The first catch came {Num(f.Value, 1)} s after the word (± {pm} s)."),
            FindingKind.StartCost => I($"The first 100 m cost {Num(f.Value, 1)} s against rowing at the race's middle speed from the word (± {pm} s)."),
            FindingKind.SprintBegan => I($"The rate rose for the sprint with {Num(f.Value, 0)} m left (± {pm} m){(f.Other is { } p ? I($"; planned {Num(p, 0)} m") : "")}."),
            FindingKind.Unevenness => I($"Uneven speed after the start cost {Num(f.Value, 1)} s at equal energy (± {pm} s){zero}."),
            _ => throw new ArgumentOutOfRangeException(nameof(f), f.Kind, "This kind of finding has no sentence yet."),
        };
    }

    public static string WouldConfirm(FindingKind kind) => kind switch
    {
        FindingKind.SegmentTime or FindingKind.SegmentRate => "The same segment in the next race, with a track of 5 fixes a second.",
        FindingKind.CueMissed => "Listen at the place: the recogniser may have missed it.",
        FindingKind.RateCalls => "A motion log of the next outing.",
        FindingKind.DistanceCalls => "A track of the next race with the start line known.",
        FindingKind.MarginCalls => "Official 500 m times of all lanes, or a video from the side.",
        FindingKind.OurMove or FindingKind.RivalMove => "More position calls just before and after the next one, or 500 m times around it.",
        FindingKind.AnswerDelay => "Listen to both places.",
        FindingKind.TechnicalCalls => "The same call at other places of the next pieces: what followed need not have been caused.",
        FindingKind.Silence or FindingKind.Counting => "Listen to the stretch.",
        FindingKind.Line => "A receiver with better than 1 m, or the same course again.",
        FindingKind.StartDelay or FindingKind.StartCost => "A motion log, which shows the first catch to a tenth of a second.",
        FindingKind.SprintBegan => "A motion log or counted strokes through the last 500 m.",
        FindingKind.Unevenness => "A second race in like wind: wind along the course looks the same.",
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "This kind of finding has no confirmation yet."),
    };

    /// <summary>A note for the next plan, or null where there is nothing to plan.</summary>
    public static string? NextPlan(Finding f) => f.Kind switch
    {
        FindingKind.SegmentTime => I($"{Capital(f.Subject)}: last time {Signed(f.Value, 1)} s against plan"),
        FindingKind.SegmentRate => I($"{Capital(f.Subject)}: last time {Signed(f.Value, 1)} strokes a minute against plan"),
        FindingKind.CueMissed => f.Subject,
        FindingKind.RateCalls when f.DistinguishableFromZero => I($"Rates feel {Num(Math.Abs(f.Value), 1)} {(f.Value >= 0 ? "higher" : "lower")} than they are"),
        FindingKind.DistanceCalls when f.DistinguishableFromZero => I($"Call marks {Num(Math.Abs(f.Value), 0)} m {(f.Value >= 0 ? "later" : "earlier")}"),
        FindingKind.OurMove => I($"Move on {f.Subject}: last time {Signed(f.Value, 1)} ± {PlusMinus(f)} seats"),
        FindingKind.AnswerDelay => I($"Answer within five strokes of hearing them go (last time {Num(f.Value, 0)} s)"),
        FindingKind.SprintBegan => I($"Sprint from {Num(f.Other ?? f.Value, 0)} m"),
        FindingKind.Line => "Pick a line, not a point",
        _ => null,
    };

    /// <summary>
    /// The same for the next plan as a cue in the plan's own language, or null where it is no thing to be done at a place.
    /// </summary>
    /// <param name="metres">Where the finding begins, from the start; null where not known.</param>
    public static string? Cue(Finding f, double? metres)
    {
        string? at = metres is { } m && m > 0 ? I($"at {Math.Max(50, 10 * Math.Round(m / 10)):0} m") : null;
        return f.Kind switch
        {
            FindingKind.CueMissed => I($"at {Num(f.Value, 0)} m: \"{Plain(f.Subject)}\""),
            FindingKind.OurMove when at is not null => I($"{at}: ten for a move on {Plain(f.Subject)}"),
            FindingKind.RivalMove or FindingKind.AnswerDelay => f.Subject.Length > 0 ? I($"when {Plain(f.Subject)} move: ten for staying with them") : "when they move: ten for staying with them",
            FindingKind.SprintBegan when f.Value > 0 => I($"at {10 * Math.Round((f.Other ?? f.Value) / 10):0} m to go: \"sprint\""),
            FindingKind.TechnicalCalls when f.Value > 0 => I($"at half way: five for {Plain(f.Subject).ToLowerInvariant()}"),
            FindingKind.SegmentTime or FindingKind.SegmentRate when at is not null => I($"{at}: \"{Plain(f.Subject)}\""),
            FindingKind.DistanceCalls when at is not null => I($"{at}: \"say the distance off the marks\""),
            FindingKind.Line when at is not null => I($"{at}: \"check the line\""),
            FindingKind.Silence when at is not null => I($"{at}: \"say where we are\""),
            _ => null,
        };
    }

    private static string Plain(string s) => new([.. s.Where(c => !char.IsControl(c) && c is not ('"' or ':' or '#'))]);

    private static string Held(Finding f) => f.Other is { } h ? I($"; 20 strokes later {Signed(h, 1)}") : "";

    private static string Tried(Finding f) => f.Tried is > 1 and var t ? I($"; the interval allows for {t} topics asked about at once") : "";

    private static string Lost(Finding f) => f.Other is { } l ? I($"; {(l >= 0 ? "they took" : "we gained")} {Num(Math.Abs(l), 1)} seats meanwhile") : "";

    private static string PlusMinus(Finding f)
    {
        double half = 0.5 * (f.High90 - f.Low90);
        return Num(half, half < 0.1 ? 2 : half < 10 ? 1 : 0);
    }

    private static string Capital(string s) => s.Length == 0 ? s : char.ToUpperInvariant(s[0]) + s[1..];

    private static string Num(double v, int decimals) => v.ToString("F" + decimals.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);

    private static string Signed(double v, int decimals) => (v >= 0 ? "+" : "−") + Num(Math.Abs(v), decimals);

    private static string I(FormattableString s) => FormattableString.Invariant(s);
}
