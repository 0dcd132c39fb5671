namespace Stakeboat.Architecture.Tests;

/// <summary>Which room may look at which. The rules of the house, as data.</summary>
public static class House
{
    private static readonly string[] Nouns = ["Units", "Time", "Boats", "Crews", "Courses"];
    private static readonly string[] Tools = ["Numerics", "Signals"];

    /// <summary>For each folder of Core, the folders that it may see.</summary>
    public static IReadOnlyDictionary<string, string[]> MaySee { get; } = new Dictionary<string, string[]>
    {
        ["Units"] = [],
        ["Time"] = ["Units"],
        ["Boats"] = ["Units", "Time"],
        ["Crews"] = ["Units", "Time", "Boats"],
        ["Courses"] = ["Units", "Time", "Boats"],
        ["Numerics"] = ["Units"],
        ["Signals"] = ["Units", "Numerics"],
        ["Physics"] = [.. Nouns, .. Tools],
        ["Measurement"] = [.. Nouns, .. Tools],
        ["Energetics"] = [.. Nouns, .. Tools, "Physics", "Measurement"],
        ["Strokes"] = [.. Nouns, .. Tools, "Physics", "Measurement"],
        ["Calls"] = [.. Nouns, .. Tools, "Measurement"],
        ["Line"] = [.. Nouns, .. Tools, "Physics", "Measurement"],
        ["Pacing"] = [.. Nouns, .. Tools, "Physics", "Measurement", "Energetics"],
        ["Margins"] = [.. Nouns, .. Tools, "Physics", "Measurement", "Line"],
        ["Plans"] = [.. Nouns, .. Tools, "Physics", "Measurement", "Energetics", "Pacing"],
        ["Raceday"] = [.. Nouns, .. Tools, "Physics", "Measurement", "Energetics", "Pacing", "Plans"],
        ["Debrief"] = [.. Nouns, .. Tools, "Physics", "Measurement", "Energetics", "Strokes", "Calls", "Line", "Pacing", "Margins", "Plans", "Raceday"],
    };

    /// <summary>Arrows between assemblies or into folders that must never exist: from (prefix) to (prefix).</summary>
    public static IReadOnlyList<(string From, string To)> Never { get; } =
    [
        ("Stakeboat.Core", "Stakeboat.Readers"), ("Stakeboat.Core", "Stakeboat.Exchange"), ("Stakeboat.Core", "Stakeboat.Storage"),
        ("Stakeboat.Core", "Stakeboat.Reports"), ("Stakeboat.Core", "Stakeboat.Ui"), ("Stakeboat.Core", "Stakeboat.Web"),
        ("Stakeboat.Core", "Stakeboat.Cli"), ("Stakeboat.Core", "Stakeboat.Simulation"), ("Stakeboat.Core", "Stakeboat.Words"),
        ("Stakeboat.Core", "System.Text.Json"), ("Stakeboat.Core", "System.Net"),
        ("Stakeboat.Readers", "Stakeboat.Core.Strokes"), ("Stakeboat.Readers", "Stakeboat.Core.Calls"),
        ("Stakeboat.Readers", "Stakeboat.Core.Margins"), ("Stakeboat.Readers", "Stakeboat.Storage"), ("Stakeboat.Readers", "Stakeboat.Core.Debrief"),
        ("Stakeboat.Ui", "Stakeboat.Storage"), ("Stakeboat.Ui", "Stakeboat.Readers"),
        ("Stakeboat.Cli", "Stakeboat.Web"), ("Stakeboat.Web", "Stakeboat.Worker"), ("Stakeboat.Worker", "Stakeboat.Web"),
        ("Stakeboat.Phone", "Stakeboat.Readers"), ("Stakeboat.Phone", "Stakeboat.Storage"), ("Stakeboat.Phone", "Stakeboat.Web"),
        ("Stakeboat.Phone", "Stakeboat.Worker"),
    ];

    public static string? Folder(string ns)
    {
        const string core = "Stakeboat.Core.";
        if (!ns.StartsWith(core, StringComparison.Ordinal))
        {
            return null;
        }

        string rest = ns[core.Length..];
        int dot = rest.IndexOf('.', StringComparison.Ordinal);
        return dot < 0 ? rest : rest[..dot];
    }

    /// <summary>The arrows that break a rule.</summary>
    public static IReadOnlyList<string> Broken(IEnumerable<Arrow> arrows)
    {
        var broken = new List<string>();
        foreach (var a in arrows)
        {
            string? from = Folder(a.From), to = Folder(a.To);
            if (from is not null && to is not null && from != to)
            {
                if (!MaySee.TryGetValue(from, out var may))
                {
                    broken.Add($"{a.From} is no folder of the house: give it a place in {nameof(MaySee)}.");
                }
                else if (Array.IndexOf(may, to) < 0)
                {
                    broken.Add($"{from} must not look at {to}: {a}");
                }
            }

            foreach (var (f, t) in Never)
            {
                if (Under(a.From, f) && Under(a.To, t))
                {
                    broken.Add($"{f} must not look at {t}: {a}");
                }
            }
        }

        return [.. broken.Distinct(StringComparer.Ordinal)];
    }

    private static bool Under(string ns, string prefix) => ns == prefix || ns.StartsWith(prefix + ".", StringComparison.Ordinal);
}
