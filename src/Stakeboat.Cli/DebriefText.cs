using System.Globalization;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Cli;

/// <summary>A debrief as a person reads it in a terminal.</summary>
internal static class DebriefText
{
    public static void Write(DebriefDocument d, TextWriter o)
    {
        var c = d.Clock;
        o.WriteLine(Inv($"{d.Name}: {d.Us.Name}, {d.Us.Boat}{(c.Distance is { } m ? Inv($", {m:0} m") : "")}"));
        if (c.GoAt is { } go)
        {
            o.WriteLine(Inv($"Start at {Clock(go)} on the {c.Of} (± {1.645 * (c.GoSd ?? 0):0.0} s, {How(c.GoHow)}){(c.FinishAt is { } f ? Inv($", finish at {Clock(f)} after {Race(f - go)} (± {1.645 * (c.FinishSd ?? 0):0.0} s, {How(c.FinishHow)})") : "")}"));
        }
        else
        {
            o.WriteLine("No race was found.");
        }

        o.WriteLine();
        Findings(d, o);
        Planned(d, o);
        Splits(d, o);
        Margins(d, o);
        Moves(d, o);
        Calls(d, o);
        Section(o, "Files", d.Sources.Select(s => Inv($"{s.Name} ({s.Kind}){(s.Used ? "" : ", not used")}{(s.Note.Length > 0 ? ": " + s.Note : "")}")));
        Section(o, "What could not be read, or is doubtful", d.Issues.Select(i => Inv($"{i.File}{(i.Place.Length > 0 ? ", " + i.Place : "")}: {i.What}{(i.Count > 1 ? Inv($" ({i.Count} times)") : "")} {i.Done}").TrimEnd()));
        Section(o, "One more file would give", d.MoreWouldGive);
    }

    private static void Findings(DebriefDocument d, TextWriter o)
    {
        o.WriteLine("Findings, in order of worth to the next race");
        if (d.Findings.Count == 0)
        {
            o.WriteLine("  none: there is too little to go by");
        }

        foreach (var f in d.Findings.Take(12))
        {
            string where = f.Evidence.Count > 0 ? Inv($"  [{string.Join(", ", f.Evidence.Take(3).Select(e => Clock(e.T)))}]") : "";
            o.WriteLine(Inv($"  {f.Id,2}. {f.Sentence}{where}"));
        }

        o.WriteLine();
    }

    private static void Planned(DebriefDocument d, TextWriter o)
    {
        if (d.Planned is not { } p)
        {
            return;
        }

        o.WriteLine("Planned");
        foreach (var s in p.Segments)
        {
            o.WriteLine(Inv($"  {s.From,5:0} to {s.To,5:0} m  {s.Name,-12} {(s.Rate is { } r ? Inv($"at {r:0.#}") : "")}"));
        }

        o.WriteLine();
    }

    private static void Splits(DebriefDocument d, TextWriter o)
    {
        if (d.Rowed is not { Splits.Count: > 0 } rowed)
        {
            return;
        }

        o.WriteLine("Rowed");
        o.WriteLine("  stretch            time            rate  strokes");
        foreach (var s in rowed.Splits)
        {
            o.WriteLine(Inv($"  {s.From,5:0} to {s.To,5:0} m  {Race(s.Seconds),7} ± {1.645 * s.SecondsSd,4:0.0} s {(s.Rate is { } r ? Inv($"{r,6:0.0}") : "     -")} {(s.Strokes is { } n ? Inv($"{n,6:0}") : "     -")}"));
        }

        if (d.Line is { ExtraMetres: { } extra } line)
        {
            o.WriteLine(Inv($"  line: {extra:0.0} m above the shortest (± {1.645 * (line.ExtraSd ?? 0):0.0} m)"));
        }

        foreach (string s in rowed.Refused)
        {
            o.WriteLine("  " + s);
        }

        o.WriteLine();
    }

    private static void Margins(DebriefDocument d, TextWriter o)
    {
        if (d.Margins.Count == 0 || d.Clock.GoAt is not { } go)
        {
            return;
        }

        o.WriteLine(Inv($"Margins in seats of {d.Us.SeatSpacing:0.00} m, positive: we lead; ± bounds 90 %"));
        o.WriteLine("  race clock  " + string.Join("  ", d.Margins.Select(m => Inv($"{Cut(m.Crew, 16),16}"))));
        int n = d.Margins[0].Metres.Count;
        var at = new List<int>();
        for (int i = 0; i < n; i += 30)
        {
            at.Add(i);
        }

        if (at.Count == 0 || at[^1] != n - 1)
        {
            at.Add(n - 1);
        }

        foreach (int i in at)
        {
            double t = d.Margins[0].T0 + i - go;
            o.WriteLine(Inv($"  {Race(t),10}  ") + string.Join("  ", d.Margins.Select(m =>
                Inv($"{Inv($"{m.Metres[i] / d.Us.SeatSpacing:+0.0;-0.0;0.0} ± {0.5 * (m.High90[i] - m.Low90[i]) / d.Us.SeatSpacing:0.0}"),16}"))));
        }

        o.WriteLine();
    }

    private static void Moves(DebriefDocument d, TextWriter o)
    {
        if (d.Moves.Count == 0 || d.Clock.GoAt is not { } go)
        {
            return;
        }

        o.WriteLine("Moves: seats gained by us during them, and 20 strokes later");
        foreach (var m in d.Moves)
        {
            o.WriteLine(Inv($"  {Race(m.From - go),6}  {Cut(m.Crew, 16),-16} {m.Origin,-12} on {Cut(m.Rival, 16),-16} {m.Seats,5:+0.0;-0.0} ({m.Low90:+0.0;-0.0} to {m.High90:+0.0;-0.0}){(m.Held is { } h ? Inv($", held {h:+0.0;-0.0}") : "")}{(m.Distinguishable ? "" : ", not distinguishable from zero")}"));
        }

        o.WriteLine();
    }

    private static void Calls(DebriefDocument d, TextWriter o)
    {
        if (d.Called is not { Calls.Count: > 0 } called)
        {
            return;
        }

        bool race = d.Clock.GoAt is not null;
        o.WriteLine(race ? "Called (rates and distances on the race clock; all calls: stakeboat calls)" : "Called (rates and distances)");
        foreach (var c in called.Calls.Where(c => c.Type is "rate" or "distance" or "pace"))
        {
            double t = race ? c.T - d.Clock.GoAt!.Value : c.T;
            string value = c.Type switch
            {
                "rate" => Inv($"rate {c.Spm:0.#}{(c.Sense == "wanted" ? " wanted" : "")}"),
                "pace" => Inv($"pace {Race(c.SecPer500 ?? 0)}"),
                _ => Inv($"{c.Metres:0} m {c.Sense}"),
            };
            o.WriteLine(Inv($"  {Race(t),7}  {value,-18} {100 * c.Confidence,3:0} % sure  \"{Cut(c.Words, 60)}\""));
        }

        if (called.Talk is { } talk)
        {
            o.WriteLine(Inv($"  {called.Calls.Count} calls; {100 * talk.CountingShare:0} % counted strokes; longest silence {(talk.LongestSilence.Count > 0 ? talk.LongestSilence.Max() : 0):0} s"));
        }

        o.WriteLine();
    }

    private static void Section(TextWriter o, string title, IEnumerable<string> lines)
    {
        var all = lines.ToList();
        if (all.Count == 0)
        {
            return;
        }

        o.WriteLine(title);
        foreach (string line in all)
        {
            o.WriteLine("  " + line);
        }

        o.WriteLine();
    }

    private static string How(string? how) => how switch
    {
        "given" => "as given",
        "heard" => "from the calls",
        "rowed" => "from the sensors",
        "result" => "from the result sheet",
        "reckoned" => "reckoned from called distances",
        _ => "assumed",
    };

    /// <summary>m:ss on a recording.</summary>
    private static string Clock(double t) => Inv($"{(t < 0 ? "-" : "")}{(int)Math.Abs(t) / 60}:{(int)Math.Abs(t) % 60:00}");

    /// <summary>m:ss.t of a race.</summary>
    private static string Race(double t)
    {
        double tenths = Math.Round(Math.Abs(t) * 10);
        return Inv($"{(t < 0 ? "-" : "")}{(int)(tenths / 600)}:{tenths % 600 / 10:00.0}");
    }

    private static string Cut(string s, int n) => s.Length <= n ? s : s[..(n - 1)] + "…";

    private static string Inv(FormattableString s) => FormattableString.Invariant(s);
}
