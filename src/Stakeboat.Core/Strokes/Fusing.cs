using Stakeboat.Core.Numerics;
using Stakeboat.Core.Time;

namespace Stakeboat.Core.Strokes;

/// <summary>What the fusion gave, with its run for whoever asks why.</summary>
internal sealed record FusionResult(HullSignal Hull, Smoothed Run, double[] Nodes, FusionNoise Noise);

/// <summary>Sets up the fusion for the sensors that there are.</summary>
internal static class Fusing
{
    private const int LearnOn = 420;

    /// <summary>A given offset at least as sure as this is taken as it is, s: half a sample of the motion's grid.</summary>
    private const double SurePin = 0.01;

    public static (FusionResult Result, ClockMap<SatelliteClock, SensorClock> Map) WithMotion(
        EvenMotion motion, double[] forward, TrackPath track, JoinedClocks clocks, bool pinned, List<SensorIssue> issues)
    {
        var fixes = new double[track.Count];
        for (int i = 0; i < fixes.Length; i++)
        {
            fixes[i] = track.Seconds[i] + clocks.Offset + (clocks.Drift * (track.Seconds[i] - clocks.Anchor));
        }

        // Fixes far outside the log cannot be joined with it; keep those inside and a minute around.
        double end = (motion.Count - 1) * motion.Step;
        var (from, to) = Within(fixes, -60, end + 60);
        double[] Cut(double[] x) => x[from..to];
        fixes = Cut(fixes);
        var along = Cut(track.Along);
        var speed = Cut(track.Speed);
        var inside = Within(fixes, 0.5, end - 0.5);

        var fusion = new HullFusion(fixes, along, speed, forward, motion.Missing, motion.Step);
        double anchor = clocks.Anchor;
        double offsetSd = clocks.OffsetSd;
        double drift = clocks.Drift;
        double driftSd = pinned ? clocks.DriftSd : 5e-5;
        double offset = clocks.Offset;
        if (!pinned)
        {
            // Levels and clock by turns: rough levels first, then the clock, then the levels again.
            int per = (int)(400 * Math.Clamp(track.Hz, 1, 3));
            var rough = new HullLevels(0.05, 1e-4, 0.5, 1, track.HasSpeed ? 0.2 : 0.15);
            var shifted = SensorJoin.Fine((s, a, b) => fusion.Evidence(rough, 3, s, a + inside.From, b + inside.From), fixes[inside.From..inside.To], per);
            Move(fixes, shifted);
            fusion = new HullFusion(fixes, along, speed, forward, motion.Missing, motion.Step);
            fusion.Learn(LearnOn);
            // A clock that is one stroke off hides in a large acceleration noise: the second search does not allow for one.
            var levels = fusion.Levels;
            levels = levels with { Acceleration = Math.Min(levels.Acceleration, 0.02) };
            var again = SensorJoin.Fine((s, a, b) => fusion.Evidence(levels, 3, s, a + inside.From, b + inside.From), fixes[inside.From..inside.To], per);
            Move(fixes, again);
            fusion = new HullFusion(fixes, along, speed, forward, motion.Missing, motion.Step);
            fusion.Learn(LearnOn);
            anchor = again.Anchor - offset;
            drift = shifted.Drift + again.Drift;
            offset += shifted.Shift + again.Shift + (shifted.Drift * (again.Anchor - shifted.Anchor));
            offsetSd = again.Sd;
            driftSd = again.DriftSd;
        }
        else
        {
            fusion.Learn(LearnOn);
            if (clocks.OffsetSd > SurePin)
            {
                // What a person pinned by hand stands to within its sd; the evidence finds the hundredths inside it.
                var levels = fusion.Levels;
                levels = levels with { Acceleration = Math.Min(levels.Acceleration, 0.02) };
                int per = (int)(400 * Math.Clamp(track.Hz, 1, 3));
                int parts = Math.Clamp((inside.To - inside.From) / per, 1, 6);
                double Pinned(double s, int a, int b) =>
                    fusion.Evidence(levels, 3, s, a + inside.From, b + inside.From) - (0.5 * s * s / (clocks.OffsetSd * clocks.OffsetSd) / parts);
                var near = SensorJoin.Fine(Pinned, fixes[inside.From..inside.To], per);
                if (Math.Abs(near.Shift) < 3 * clocks.OffsetSd)
                {
                    // The drift that was given stays as it was.
                    var shift = near with { Drift = 0 };
                    Move(fixes, shift);
                    fusion = new HullFusion(fixes, along, speed, forward, motion.Missing, motion.Step);
                    fusion.Learn(LearnOn);
                    offset += shift.Shift;
                    offsetSd = Math.Min(clocks.OffsetSd, near.Sd);
                }
            }
        }

        var result = Finish(fusion, fixes, track, motion.Hz, issues, motionHasIt: true);
        return (result, new ClockMap<SatelliteClock, SensorClock>(offset, drift, anchor, offsetSd, driftSd, pinned ? "pinned" : "correlation"));
    }

    public static FusionResult TrackOnly(TrackPath track, double zero, List<SensorIssue> issues)
    {
        var fixes = new double[track.Count];
        for (int i = 0; i < fixes.Length; i++)
        {
            fixes[i] = track.Seconds[i] - zero;
        }

        var fusion = new HullFusion(fixes, track.Along, track.Speed, null, null, 0);
        fusion.Learn(LearnOn);
        return Finish(fusion, fixes, track, Math.Clamp(2 * track.Hz, 5, 20), issues, motionHasIt: false);
    }

    private static FusionResult Finish(HullFusion fusion, double[] fixes, TrackPath track, double hz, List<SensorIssue> issues, bool motionHasIt)
    {
        _ = motionHasIt;
        for (int i = 1; i < fixes.Length; i++)
        {
            if (fixes[i] - fixes[i - 1] > 5)
            {
                issues.Add(new SensorIssue(SensorIssueKind.GapInFixes, SensorAnalysis.At(fixes[i - 1]), SensorAnalysis.At(fixes[i]), fixes[i] - fixes[i - 1]));
            }
        }

        var (hull, run, nodes, observations) = fusion.Solve(hz);
        int held = 0;
        double chi = 0;
        int counted = 0;
        for (int i = 0; i < observations; i++)
        {
            if (run.Weight[i] < 0.5)
            {
                held++;
            }
            else
            {
                chi += run.Innovation[i] * run.Innovation[i] / run.InnovationVariance[i];
                counted++;
            }
        }

        if (held > 0.01 * observations)
        {
            issues.Add(new SensorIssue(SensorIssueKind.SpikesHeldDown, Value: (double)held / observations, Count: held));
        }

        var l = fusion.Levels;
        var noise = new FusionNoise(l.Acceleration, l.Position, l.Wander, track.HasSpeed ? l.Speed : null, run.LogLikelihood, fixes.Length, held, counted > 0 ? chi / counted : 0);
        return new FusionResult(hull, run, nodes, noise);
    }

    private static void Move(double[] fixes, (double Shift, double Sd, double Drift, double DriftSd, double Anchor) by)
    {
        for (int i = 0; i < fixes.Length; i++)
        {
            fixes[i] += by.Shift + (by.Drift * (fixes[i] - by.Anchor));
        }
    }

    private static (int From, int To) Within(double[] t, double from, double to)
    {
        int a = 0;
        while (a < t.Length && t[a] < from)
        {
            a++;
        }

        int b = t.Length;
        while (b > a && t[b - 1] > to)
        {
            b--;
        }

        return (a, b);
    }
}
