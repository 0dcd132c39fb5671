using Stakeboat.Core.Boats;
using Stakeboat.Core.Calls;
using Stakeboat.Core.Debrief;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Debrief;

/// <summary>Strokes after technical calls on simulated races in which it is known which topics the boat answers.</summary>
public class TechnicalCallsSynthetic
{
    private const double Go = 60, Speed = 5, Metres = 4000;

    private static readonly Focus[] s_topics = [.. Enum.GetValues<Focus>().Take(8)];

    /// <summary>A long race with five calls on each of eight topics; after those in <paramref name="answered"/> the boat is faster by 0.25 m/s for ten strokes.</summary>
    private static DebriefFacts Race(Random random, int answered)
    {
        double end = Go + Metres / Speed, beat = 60.0 / 34;
        var times = new List<double>();
        for (double t = Go + 0.4; t < end; t += beat)
        {
            times.Add(t);
        }

        double[] speed = [.. times.Select(_ => Speed + 0.12 * Gauss(random))];
        var calls = new List<HeardCall>();
        for (int k = 0; k < 5 * s_topics.Length; k++)
        {
            int topic = k % s_topics.Length, stroke = 30 + k * 10;
            calls.Add(new HeardCall(Instant<RecordingClock>.FromSeconds(times[stroke] - 0.3), 0.2, new TechniqueCall(s_topics[topic]), 0.9, "", 0, []));
            for (int i = stroke; topic < answered && i < Math.Min(stroke + 5, speed.Length); i++)
            {
                speed[i] += 0.35;
            }
        }

        return new DebriefFacts
        {
            Hull = BoatClass.Eight.Geometry, Calls = calls, Go = new Estimate(Go, 0.1), Finish = new Estimate(end, 0.1), Distance = Metres,
            Strokes = [.. times.Select((t, i) => new StrokeFact(t, 34, 0.3, speed[i], 0.05, 0.9))],
        };
    }

    private static double Gauss(Random r) => Math.Sqrt(-2 * Math.Log(1 - r.NextDouble())) * Math.Cos(2 * Math.PI * r.NextDouble());

    private static List<Finding> Topics(DebriefFacts f) => [.. FindingList.From(f).Where(x => x.Kind == FindingKind.TechnicalCalls)];

    [Fact]
    public void WhereNoTopicDoesAnything_HardlyAnyRaceSaysThatOneDoes()
    {
        var random = new Random(11);
        int races = 400, wrong = 0, plain = 0;
        for (int i = 0; i < races; i++)
        {
            var topics = Topics(Race(random, 0));
            Assert.Equal(s_topics.Length, topics.Count);
            Assert.All(topics, t => Assert.Equal(s_topics.Length, t.Tried));
            wrong += topics.Exists(t => t.DistinguishableFromZero) ? 1 : 0;
            // What would have been said had each topic been asked about alone: the interval of level 1 - 0.1/8 brought back to 90 % (Student's t, 4 d.f.).
            plain += topics.Exists(t => Math.Abs(t.Value) > (t.High90 - t.Value) * 2.1318 / 4.3147) ? 1 : 0;
        }

        // At most one race in ten by the procedure; binomial 3 sigma above it for 400 races. Alone asked, more than four in ten would.
        Assert.InRange(wrong, 0, (int)(0.10 * races + 3 * Math.Sqrt(0.09 * races)));
        Assert.True(plain > 3 * wrong, $"{plain} against {wrong}");
    }

    [Fact]
    public void WhereTwoTopicsAreAnswered_MostAreFound_AndFewOfTheFoundAreFalse()
    {
        var random = new Random(12);
        int races = 300, right = 0;
        double falseShare = 0;
        for (int i = 0; i < races; i++)
        {
            var found = Topics(Race(random, 2)).Where(t => t.DistinguishableFromZero).Select(t => t.Subject).ToList();
            int good = found.Count(s => s == s_topics[0].ToString() || s == s_topics[1].ToString());
            right += good;
            falseShare += found.Count == 0 ? 0 : (double)(found.Count - good) / found.Count;
        }

        Assert.True(right > 0.5 * 2 * races, $"only {right} of {2 * races} were found");
        Assert.InRange(falseShare / races, 0, 0.15);
    }
}
