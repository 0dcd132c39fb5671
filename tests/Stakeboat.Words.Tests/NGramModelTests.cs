using System.Globalization;
using Stakeboat.Words.Language;

namespace Stakeboat.Words.Tests;

public class NGramModelTests
{
    private static WordCounts Counts()
    {
        var c = new WordCounts(new Vocabulary());
        c.Add(["up", "two", "seats"]);
        c.Add(["up", "two"]);
        c.Add(["up", "one", "seat"]);
        return c;
    }

    private static NGramModel Small() => new((new WittenBellModel(Counts()), 1));

    private static NGramModel Of(string kind) => kind switch
    {
        "Witten-Bell" => Small(),
        "Kneser-Ney" => new NGramModel((new KneserNeyModel(Counts()), 1)),
        _ => Mixed(),
    };

    private static NGramModel Mixed()
    {
        var c = Counts();
        var groups = new ClassModel(c.Vocabulary, [(["up", "two", "seats"], 1), (["up", "two"], 0.5), (["up", "one", "seat"], 1)], [["one", "two"], ["seat", "seats"]]);
        return new NGramModel((new KneserNeyModel(c), 0.5), (groups, 0.3), (new WittenBellModel(c), 0.2));
    }

    // Witten and Bell's method C by hand. Unigrams: 11 tokens (up 3, two 2, one, seats, seat, </s> 3), 6 types, 6 words to predict:
    // P1(two) = (2 + 6/6)/(11 + 6) = 3/17. After "up": 3 tokens, 2 types: P2(two|up) = (2 + 2 * 3/17)/5.
    // After "<s> up": the same counts: P3 = (2 + 2 * P2)/5.
    [Fact]
    public void ProbabilitiesAreThoseWorkedByHand()
    {
        var m = Small();
        double p1 = 3.0 / 17, p2 = (2 + 2 * p1) / 5, p3 = (2 + 2 * p2) / 5;
        Assert.Equal(p1, m.Probability("two", null, null), 12);
        Assert.Equal(p2, m.Probability("two", "up", null), 12);
        Assert.Equal(p3, m.Probability("two", "up", Vocabulary.Begin), 12);
    }

    // Kneser and Ney by hand. Triples: 6 of the 7 different ones once, "<s> up two" twice: D3 = 6/(6 + 2) = 3/4. Pairs inside a line count
    // their different left neighbours, all one; "<s> up" 3 times: of 8 pairs 7 are seen once, none twice: D2 = 1. Single words count
    // what stands before them: </s> 3 (seats, two, seat), the others 1 each; 5 once, none twice: D1 = 1.
    // P1(two) = (max(0, 1 - 1) + 6 * 1/6) / 8 = 1/8. After "up": two and one once each: P2(two|up) = (0 + 2 * 1/8)/2 = 1/8.
    // After "<s> up": two 2, one 1: P3 = (2 - 3/4 + (3/4 + 3/4) * 1/8)/3.
    [Fact]
    public void KneserNeyProbabilitiesAreThoseWorkedByHand()
    {
        var k = new KneserNeyModel(Counts());
        Assert.Equal([1.0, 1.0, 0.75], k.Discounts);
        var m = new NGramModel((k, 1));
        Assert.Equal(1 / 8.0, m.Probability("two", null, null), 12);
        Assert.Equal(1 / 8.0, m.Probability("two", "up", null), 12);
        Assert.Equal((1.25 + 1.5 / 8) / 3, m.Probability("two", "up", Vocabulary.Begin), 12);
    }

    [Theory]
    [CombinatorialHistory]
    public void EveryDistributionAddsUpToOne(string kind, string? previous, string? before)
    {
        var m = Of(kind);
        double sum = m.Words.Append(Vocabulary.End).Sum(w => m.Probability(w, previous, before));
        Assert.Equal(1, sum, 12);
    }

    // A group's members share what was counted for one of them: "up one" is as likely after the groups alone as "up two" but for their own counts.
    [Fact]
    public void AGroupMakesAllItsWordsLikely()
    {
        var c = new WordCounts(new Vocabulary());
        c.Add(["rate", "thirty", "four"]);
        c.Vocabulary.Add("seven");
        var m = new ClassModel(c.Vocabulary, [(["rate", "thirty", "four"], 1)], [["four", "seven"]]);
        Assert.Equal(2, m.P(c.Vocabulary.Of("four"), c.Vocabulary.Of("thirty"), -1) / m.P(c.Vocabulary.Of("seven"), c.Vocabulary.Of("thirty"), -1), 12);
    }

    [Theory]
    [InlineData("Witten-Bell")]
    [InlineData("Kneser-Ney")]
    public void TheArpaFileGivesTheSameProbabilities_ThroughItsBackOffWeights(string kind)
    {
        var m = Of(kind);
        var read = Arpa.Read(m.ToArpa());
        foreach (string a in m.Vocabulary.Words)
        {
            foreach (string b in m.Vocabulary.Words.Where(w => w != Vocabulary.End))
            {
                foreach (string w in m.Words.Append(Vocabulary.End))
                {
                    if (a != Vocabulary.End && b != Vocabulary.Begin)
                    {
                        Assert.Equal(Math.Log10(m.Probability(w, b, a)), read.Log10(w, b, a), 3);
                    }
                }
            }
        }
    }

    // Perplexity through the model's own probabilities against perplexity through the written file and its back-off rule: two ways.
    [Fact]
    public void PerplexityOfUnseenLines_IsTheSameThroughTheFile()
    {
        var talk = TalkModel.For(null, new HashSet<string> { "voices-1" }).Model;
        var held = TalkModel.Lines().Where(l => l.Source == "voices-1" && !l.Words.Any(w => w.Contains('<', StringComparison.Ordinal))).Select(l => (IReadOnlyList<string>)l.Words)
            .Where(l => l.All(talk.Knows)).Take(60).ToList();
        var (perplexity, unknown) = talk.PerplexityOf(held);
        Assert.Equal(0, unknown);
        var read = Arpa.Read(talk.ToArpa());
        double log = 0;
        int n = 0;
        foreach (var line in held)
        {
            string? a = null;
            string b = Vocabulary.Begin;
            foreach (string w in line.Append(Vocabulary.End))
            {
                log += read.Log10(w, b, a);
                n++;
                (a, b) = (b, w);
            }
        }

        Assert.Equal(perplexity, Math.Pow(10, -log / n), 0.02 * perplexity);
        Assert.InRange(perplexity, 20, 600);
    }

    [Fact]
    public void ATradesWordFollowsItsNumber_MoreThanAnArticle()
    {
        var talk = TalkModel.For(null).Model;
        Assert.True(talk.Probability("seats", "two", "up") > 5 * talk.Probability("seats", "the", "with"));
    }

    /// <summary>Each kind of model with histories known, unknown and of the begin.</summary>
    private sealed class CombinatorialHistoryAttribute : Xunit.v3.DataAttribute
    {
        public override ValueTask<IReadOnlyCollection<ITheoryDataRow>> GetData(System.Reflection.MethodInfo testMethod, Xunit.Sdk.DisposalTracker disposalTracker) =>
            new([.. from kind in new[] { "Witten-Bell", "Kneser-Ney", "mixture" }
                    from h in new (string? Last, string? Before)[] { (null, null), ("up", null), ("up", "<s>"), ("two", "up"), ("seat", "two"), ("unheard", "up") }
                    select new TheoryDataRow(kind, h.Last, h.Before)]);

        public override bool SupportsDiscoveryEnumeration() => true;
    }

    /// <summary>A back-off n-gram file read as its form is published: what is not there is the back-off weight times the shorter one.</summary>
    private sealed class Arpa
    {
        private readonly Dictionary<string, (double P, double Bow)> _grams = new(StringComparer.Ordinal);

        public static Arpa Read(string text)
        {
            var arpa = new Arpa();
            int order = 0;
            foreach (string line in text.Split('\n'))
            {
                if (line.EndsWith("-grams:", StringComparison.Ordinal))
                {
                    order = line[1] - '0';
                }
                else if (order > 0 && line.Length > 0 && line[0] != '\\')
                {
                    string[] f = line.Split(' ');
                    double bow = f.Length > order + 1 ? double.Parse(f[^1], CultureInfo.InvariantCulture) : 0;
                    arpa._grams[string.Join(' ', f[1..(order + 1)])] = (double.Parse(f[0], CultureInfo.InvariantCulture), bow);
                }
            }

            return arpa;
        }

        public double Log10(string w, string? b, string? a)
        {
            if (a is not null && b is not null)
            {
                return _grams.TryGetValue($"{a} {b} {w}", out var tri) ? tri.P : _grams.GetValueOrDefault($"{a} {b}").Bow + Log10(w, b, null);
            }

            return b is null ? _grams[w].P : _grams.TryGetValue($"{b} {w}", out var bi) ? bi.P : _grams[b].Bow + Log10(w, null, null);
        }
    }
}
