using CsCheck;
using Stakeboat.Core.Calls;
using Stakeboat.Core.Calls.Sounds;

namespace Stakeboat.Core.Tests.Calls;

public class SoundsProperties
{
    private static readonly Gen<string> Sounds = Gen.Char[Phones.Vowels + Phones.Consonants].Array[0, 7].Select(c => new string(c));

    /// <summary>The recursion of the definition (Wagner and Fischer 1974, from memory) with weights, without any table.</summary>
    private static double ByDefinition(string a, string b) =>
        a.Length == 0 ? b.Sum(c => (double)Phones.Insertion(c))
        : b.Length == 0 ? a.Sum(c => (double)Phones.Insertion(c))
        : Math.Min(ByDefinition(a[1..], b[1..]) + Phones.Substitution(a[0], b[0]),
            Math.Min(ByDefinition(a[1..], b) + Phones.Insertion(a[0]), ByDefinition(a, b[1..]) + Phones.Insertion(b[0])));

    [Fact]
    public void DistanceIsTheDefinition() =>
        Gen.Select(Sounds, Sounds).Sample((a, b) => Math.Abs(Phones.Distance(a, b) - ByDefinition(a, b)) < 1e-4, iter: 150, seed: "0000KPPwQ001");

    [Fact]
    public void DistanceIsSymmetricAndZeroOnlyForItself() =>
        Gen.Select(Sounds, Sounds).Sample((a, b) => Math.Abs(Phones.Distance(a, b) - Phones.Distance(b, a)) < 1e-4 && (Phones.Distance(a, b) < 1e-6) == (a == b), iter: 2000, seed: "0000KPPwQ001");

    [Fact]
    public void TheTreeFindsWhatALongSearchFinds() =>
        Gen.Select(Sounds.Array[1, 40], Sounds).Sample((entries, heard) =>
        {
            var index = new SoundIndex();
            foreach (string e in entries)
            {
                index.Add(e);
            }

            var near = index.Near(heard, 1.2, 1000).Select(m => m.Entry).Order();
            var plain = Enumerable.Range(0, entries.Length).Where(i => Phones.Distance(entries[i], heard) <= 1.2f - 1e-5f || Math.Abs(Phones.Distance(entries[i], heard) - 1.2) < 1e-5).Order();
            return near.SequenceEqual(plain);
        }, iter: 300, seed: "0000KPPwQ001");

    [Theory]
    [InlineData("before", "bow", "four")]
    [InlineData("bubble", "bow", "ball")]
    [InlineData("treaty", "three", "seat")]
    public void KnownMishearingsAreNearerThanChance(string heard, string first, string second)
    {
        var p = CallModels.Default.Sounds;
        double right = Phones.Distance(p.Of(heard), p.Of(first) + p.Of(second));
        double chance = new[] { "settle", "rudder", "thousand", "weigh enough" }.Average(w => Phones.Distance(p.Of(heard), string.Concat(w.Split(' ').Select(p.Of))));
        Assert.True(right < 0.8 * chance, $"{heard}: {right} against {chance}");
    }
}

/// <summary>Our sounds of words against espeak-ng (version in the file; oracles/calls/espeak.sh).</summary>
public class SoundsDifferential
{
    private static readonly (string Ipa, string Ours)[] Map =
    [
        ("ə", "@"), ("ɐ", "@"), ("ᵻ", "@"), ("ɚ", "@r"), ("ɜ", "R"), ("æ", "a"), ("ɑ", "A"), ("ɔ", "O"), ("ʌ", "V"), ("ʊ", "u"), ("ɪ", "i"), ("ɛ", "e"), ("ɹ", "r"), ("ɾ", "t"),
        ("ɡ", "g"), ("θ", "T"), ("ð", "D"), ("ʃ", "S"), ("ʒ", "Z"), ("ŋ", "N"), ("j", "y"),
    ];

    private static string Ours(string ipa)
    {
        string s = ipa.Replace("ˈ", "").Replace("ˌ", "");
        s = s.Replace("tʃ", "C").Replace("dʒ", "Q").Replace("eɪ", "E").Replace("aɪ", "Y").Replace("ɔɪ", "J").Replace("oʊ", "o").Replace("aʊ", "W").Replace("iː", "I").Replace("uː", "U").Replace("ː", "");
        foreach (var (i, o) in Map)
        {
            s = s.Replace(i, o);
        }

        s = s.Replace('Q', 'j');
        return new string([.. s.Where(c => Phones.Vowels.Contains(c) || Phones.Consonants.Contains(c))]);
    }

    [Fact]
    public void LexiconSoundsAreNearTheSynthesisers()
    {
        var p = CallModels.Default.Sounds;
        var rows = File.ReadLines(Path.Combine(Repository.Root, "oracles", "calls", "espeak.txt")).Where(l => l.Length > 0 && l[0] != '#').Select(l => l.Split('\t')).Where(r => r.Length == 2 && r[1].Length > 0).ToList();
        Assert.True(rows.Count > 300);
        var relative = rows.Select(r => (Word: r[0], D: p.AllOf(r[0]).Min(s => Phones.Distance(s, Ours(r[1]))) / Math.Max(2, Ours(r[1]).Length))).ToList();
        Assert.True(relative.Average(r => r.D) < 0.12, $"mean {relative.Average(r => r.D):0.000}");
        Assert.True(relative.Count(r => r.D > 0.35) < 0.06 * relative.Count, string.Join(", ", relative.Where(r => r.D > 0.35).Select(r => r.Word)));
    }
}

internal static class Repository
{
    public static string Root { get; } = Find();

    private static string Find()
    {
        string? root = AppContext.BaseDirectory;
        while (root is not null && !File.Exists(Path.Combine(root, "Stakeboat.slnx")))
        {
            root = Path.GetDirectoryName(root);
        }

        return root ?? throw new InvalidOperationException("The tests run inside the repository.");
    }
}
