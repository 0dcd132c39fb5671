using System.Globalization;
using Stakeboat.Words.Language;

namespace Stakeboat.Words.Tests;

public class NGramModelTests
{
    private static NGramModel Small()
    {
        var m = new NGramModel();
        m.Add(["up", "two", "seats"]);
        m.Add(["up", "two"]);
        m.Add(["up", "one", "seat"]);
        return m;
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
        Assert.Equal(p3, m.Probability("two", "up", NGramModel.Begin), 12);
    }

    [Theory]
    [InlineData(null, null)]
    [InlineData("up", null)]
    [InlineData("up", "<s>")]
    [InlineData("two", "up")]
    [InlineData("seat", "two")]
    public void EveryDistributionAddsUpToOne(string? previous, string? before)
    {
        var m = Small();
        double sum = m.Words.Where(w => w != NGramModel.Begin).Sum(w => m.Probability(w, previous, before));
        Assert.Equal(1, sum, 12);
    }

    [Fact]
    public void TheArpaFileGivesTheSameProbabilities_ThroughItsBackOffWeights()
    {
        var m = Small();
        var read = Arpa.Read(m.ToArpa());
        foreach (string a in m.Words)
        {
            foreach (string b in m.Words.Where(w => w != NGramModel.End))
            {
                foreach (string w in m.Words.Where(w => w != NGramModel.Begin))
                {
                    if (a != NGramModel.End && b != NGramModel.Begin)
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
            string b = NGramModel.Begin;
            foreach (string w in line.Append(NGramModel.End))
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
