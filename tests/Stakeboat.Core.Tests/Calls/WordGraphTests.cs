using Stakeboat.Core.Calls.Lattice;

namespace Stakeboat.Core.Tests.Calls;

/// <summary>Forward and backward sums against the sum over every path, written out.</summary>
public class WordGraphCertified
{
    private const string Counts = "U\t<s>\t10\nU\tbow\t9\nU\tfour\t8\nU\tbefore\t3\nU\teasy\t6\nU\tthere\t5\nB\t<s>\tbow\t6\nB\tbow\tfour\t7\nB\tfour\teasy\t5\nB\teasy\tthere\t4\nB\t<s>\tbefore\t1\nB\tbefore\tthere\t1\n";

    [Fact]
    public void SharesAreSumsOverAllPaths()
    {
        var model = SpeechModel.Load(new StringReader(Counts));
        SpanReading[] spans =
        [
            new(0, 1, ["before"], -1, -0.2, true), new(0, 1, ["bow", "four"], -1, -2.5, false), new(1, 2, ["easy"], -1, -0.2, true),
            new(1, 2, ["there"], -1, -3, false), new(0, 2, ["bow", "easy"], -1, -4, false),
        ];
        var graph = WordGraph.Build(2, spans);
        double total = graph.Weigh(model, 1e-9, 1);

        double P(double channel, params string[] words)
        {
            double sum = channel;
            int before = model.Id(SpeechModel.Start);
            foreach (string w in words)
            {
                sum += model.LogP(before, model.Id(w));
                before = model.Id(w);
            }

            return Math.Exp(sum);
        }

        double plain = P(-0.4, "before", "easy"), odd = P(-3.2, "before", "there"), split = P(-2.7, "bow", "four", "easy"), splitOdd = P(-5.5, "bow", "four", "there"), merged = P(-4, "bow", "easy");
        double all = plain + odd + split + splitOdd + merged;
        Assert.Equal(Math.Log(all), total, 9);
        double share = Math.Exp(graph.From(graph.First).First(a => a.Word == "before").LogShare);
        Assert.Equal((plain + odd) / all, share, 9);
    }

    [Fact]
    public void ProbabilitiesAfterAWordSumToAboutOne()
    {
        var model = SpeechModel.Load(new StringReader(Counts));
        int bow = model.Id("bow");
        double sum = model.Words.Where(w => w[0] != '<' || w == SpeechModel.Start).Sum(w => Math.Exp(model.LogP(bow, model.Id(w))));
        Assert.InRange(sum, 0.7, 1.3);
    }
}
