using Stakeboat.Core.Units;

namespace Stakeboat.Core.Physics;

/// <summary>One piece rowed at a steady effort.</summary>
/// <param name="Speed">Mean over ground.</param>
/// <param name="PowerRatio">Effort over the effort at which the reference speed is stated; 1 for the same.</param>
/// <param name="Conditions">Of the piece; its wind angle and stream are those of its own direction.</param>
/// <param name="Pair">Pieces of one out-and-back pair share a number, with it the stream and the error of the wind; null for a piece alone.</param>
/// <param name="Back">Rowed the other way along the stretch: what is a head wind out is a tail wind back.</param>
public sealed record CalibrationPiece(SpeedOverGround Speed, double PowerRatio, Conditions Conditions, int? Pair, bool Back = false);

/// <summary>How well the pieces are known; engineering estimates.</summary>
/// <param name="PowerSd">Of a piece's effort, as a share.</param>
/// <param name="SpeedSd">Of a piece's mean speed, as a share.</param>
/// <param name="WindSd">Of the wind along a pair's course, m/s; 0.4 with an anemometer on the bank.</param>
public sealed record CalibrationNoise(double PowerSd = 0.03, double SpeedSd = 0.003, double WindSd = 1.0, double StreamSd = 0.2);

/// <summary>Why nothing was fitted, or what was not.</summary>
public enum CalibrationRefusal
{
    /// <summary>No pieces.</summary>
    Nothing,

    /// <summary>Pieces in one direction only: stream and reference speed cannot be told apart.</summary>
    OneDirection,

    /// <summary>Efforts differ by more than the model's exponent is good for.</summary>
    EffortsTooFarApart,

    /// <summary>A speed that no crew rows, or that is far outside the model.</summary>
    SpeedOutOfRange,

    /// <summary>The wind never differed enough: the air share is the prior's, not the crew's.</summary>
    AirShareNotSeen,

    /// <summary>Wind over 8 m/s in a piece.</summary>
    WindTooStrong,
}

/// <summary>The crew's own reference speed and air share.</summary>
/// <param name="ReferenceSpeed">V0 at effort 1, m/s.</param>
/// <param name="AirShare">r.</param>
/// <param name="LogCovariance">Covariance of (ln V0, ln r), row by row.</param>
/// <param name="PriorLogSdAir">What ln r was before: 0.25.</param>
/// <param name="Residuals">Observed less fitted ln speed of each piece.</param>
public sealed record CalibrationFit(
    double ReferenceSpeed, double AirShare, IReadOnlyList<double> LogCovariance, double PriorLogSdAir, IReadOnlyList<double> Residuals, IReadOnlyList<CalibrationRefusal> NotSeen)
{
    public Estimate Speed => new(ReferenceSpeed, ReferenceSpeed * Math.Sqrt(LogCovariance[0]));

    public Estimate Air => new(AirShare, AirShare * Math.Sqrt(LogCovariance[3]));

    public RelativeSpeedModel Model(ReferenceHull hull) =>
        new(hull, SpeedOverGround.FromMetresPerSecond(ReferenceSpeed), AirShare);

    /// <summary>Standard deviation of ln speed predicted under conditions, before the day's wind error and the crew's form.</summary>
    public double LogSdAt(ReferenceHull hull, Conditions c)
    {
        double[] g = Calibration.Gradient(hull, ReferenceSpeed, AirShare, 1, c);
        return Math.Sqrt(g[0] * g[0] * LogCovariance[0] + 2 * g[0] * g[1] * LogCovariance[1] + g[1] * g[1] * LogCovariance[3]);
    }
}

/// <summary>What came of a calibration: a fit or the reason why there is none.</summary>
public sealed record CalibrationResult(CalibrationFit? Fit, CalibrationRefusal? Refusal);

/// <summary>
/// Learns V0 and r from a crew's own pieces: Gauss-Newton on ln speed with the priors ln V0 ± 0.2 about the class's pace (wide: novices to nations) and
/// ln r ± 0.25; a pair's stream and wind error are unknowns of their own and are carried through. w, k and S are never fitted: they cannot
/// be told from speeds.
/// </summary>
public static class Calibration
{
    public static CalibrationResult Fit(ReferenceHull hull, IReadOnlyList<CalibrationPiece> pieces, CalibrationNoise? noise = null)
    {
        ArgumentNullException.ThrowIfNull(hull);
        ArgumentNullException.ThrowIfNull(pieces);
        var n = noise ?? new CalibrationNoise();
        if (Refuse(hull, pieces) is { } refusal)
        {
            return new CalibrationResult(null, refusal);
        }

        int[] pairs = [.. pieces.Where(p => p.Pair is not null).Select(p => p.Pair!.Value).Distinct().Order()];
        int alone = pieces.Count(p => p.Pair is null);
        int groups = pairs.Length + alone;
        int unknowns = 2 + 2 * groups;
        var prior = new double[unknowns];
        var shares = RelativeSpeedModel.Shares(hull, hull.Pace);
        double[] x = new double[unknowns];
        double meanSpeed = Math.Exp(pieces.Average(p => Math.Log(p.Speed.MetresPerSecond)));
        x[0] = Math.Log(meanSpeed);
        x[1] = Math.Log(shares.Air);
        double priorSpeed = Math.Log(hull.Pace);
        prior[0] = 1 / (0.2 * 0.2);
        prior[1] = 1 / (ReferenceHull.DragAreaLogSd * ReferenceHull.DragAreaLogSd);
        var group = GroupOf(pieces, pairs);
        for (int g = 0; g < groups; g++)
        {
            prior[2 + 2 * g] = 1 / (n.StreamSd * n.StreamSd);
            prior[3 + 2 * g] = 1 / (n.WindSd * n.WindSd);
        }

        double[,] normal = new double[unknowns, unknowns];
        for (int iteration = 0; iteration < 12; iteration++)
        {
            var gradient = new double[unknowns];
            normal = new double[unknowns, unknowns];
            for (int k = 0; k < unknowns; k++)
            {
                normal[k, k] = prior[k];
            }

            gradient[0] = prior[0] * (priorSpeed - x[0]);
            gradient[1] = prior[1] * (Math.Log(shares.Air) - x[1]);
            for (int k = 2; k < unknowns; k++)
            {
                gradient[k] = -prior[k] * x[k];
            }

            for (int i = 0; i < pieces.Count; i++)
            {
                AddPiece(hull, pieces[i], 2 + 2 * group[i], x, n, normal, gradient);
            }

            var step = Solve(normal, gradient);
            double size = 0;
            for (int k = 0; k < unknowns; k++)
            {
                x[k] += Math.Clamp(step[k], -0.5, 0.5);
                size = Math.Max(size, Math.Abs(step[k]));
            }

            if (size < 1e-10)
            {
                break;
            }
        }

        double[] c0 = Solve(normal, Unit(unknowns, 0)), c1 = Solve(normal, Unit(unknowns, 1));
        var residuals = pieces.Select((p, i) => Math.Log(p.Speed.MetresPerSecond) - Predict(hull, Math.Exp(x[0]), Math.Exp(x[1]), p, x[2 + 2 * group[i]], x[3 + 2 * group[i]])).ToArray();
        var notSeen = new List<CalibrationRefusal>();
        if (Math.Sqrt(c1[1]) > 0.9 * ReferenceHull.DragAreaLogSd)
        {
            notSeen.Add(CalibrationRefusal.AirShareNotSeen);
        }

        return new CalibrationResult(
            new CalibrationFit(Math.Exp(x[0]), Math.Exp(x[1]), [c0[0], c0[1], c1[0], c1[1]], ReferenceHull.DragAreaLogSd, residuals, notSeen), null);
    }

    private static CalibrationRefusal? Refuse(ReferenceHull hull, IReadOnlyList<CalibrationPiece> pieces)
    {
        if (pieces.Count == 0)
        {
            return CalibrationRefusal.Nothing;
        }

        if (pieces.Any(p => !(p.Speed.MetresPerSecond > 0.5 * hull.Pace && p.Speed.MetresPerSecond < 1.5 * hull.Pace)))
        {
            return CalibrationRefusal.SpeedOutOfRange;
        }

        if (pieces.Any(p => p.Conditions.WindSpeed > 8))
        {
            return CalibrationRefusal.WindTooStrong;
        }

        double most = pieces.Max(p => p.PowerRatio), least = pieces.Min(p => p.PowerRatio);
        if (!(least > 0) || most / least > 2)
        {
            return CalibrationRefusal.EffortsTooFarApart;
        }

        // A pair is two ways over one stretch; without one, a stream of 0.2 m/s looks like 4 % of speed.
        bool bothWays = pieces.Where(p => p.Pair is not null).GroupBy(p => p.Pair).Any(g => g.Any(p => p.Back) && g.Any(p => !p.Back));
        return bothWays ? null : CalibrationRefusal.OneDirection;
    }

    private static int[] GroupOf(IReadOnlyList<CalibrationPiece> pieces, int[] pairs)
    {
        var result = new int[pieces.Count];
        int next = pairs.Length;
        for (int i = 0; i < pieces.Count; i++)
        {
            result[i] = pieces[i].Pair is { } p ? Array.IndexOf(pairs, p) : next++;
        }

        return result;
    }

    private static void AddPiece(ReferenceHull hull, CalibrationPiece piece, int at, double[] x, CalibrationNoise noise, double[,] normal, double[] gradient)
    {
        double v0 = Math.Exp(x[0]), r = Math.Exp(x[1]);
        double f0 = Predict(hull, v0, r, piece, x[at], x[at + 1]);
        double residual = Math.Log(piece.Speed.MetresPerSecond) - f0;
        const double D = 1e-4;
        double[] slope =
        [
            (Predict(hull, v0 * Math.Exp(D), r, piece, x[at], x[at + 1]) - f0) / D,
            (Predict(hull, v0, r * Math.Exp(D), piece, x[at], x[at + 1]) - f0) / D,
            (Predict(hull, v0, r, piece, x[at] + D, x[at + 1]) - f0) / D,
            (Predict(hull, v0, r, piece, x[at], x[at + 1] + D) - f0) / D,
        ];
        int[] index = [0, 1, at, at + 1];

        // Power enters speed as a cube root or nearly so.
        double weight = 1 / (noise.SpeedSd * noise.SpeedSd + noise.PowerSd * noise.PowerSd / (2.85 * 2.85));
        for (int a = 0; a < 4; a++)
        {
            gradient[index[a]] += weight * slope[a] * residual;
            for (int b = 0; b < 4; b++)
            {
                normal[index[a], index[b]] += weight * slope[a] * slope[b];
            }
        }
    }

    /// <summary>ln of the speed over ground. Stream and wind error are along the pair's axis: a head wind on the way out is a tail wind on the way back.</summary>
    private static double Predict(ReferenceHull hull, double v0, double r, CalibrationPiece piece, double stream, double windError)
    {
        var c = piece.Conditions;
        double along = c.WindSpeed * Math.Cos(c.WindAngle.Radians);
        double across = c.WindSpeed * Math.Sin(c.WindAngle.Radians);
        double sign = piece.Back ? -1 : 1;
        along += sign * windError;
        var shifted = c with
        {
            WindSpeed = Math.Sqrt(along * along + across * across),
            WindAngle = Angle.FromRadians(Math.Atan2(across, along)),
            Stream = c.Stream - sign * stream,
        };
        var model = new RelativeSpeedModel(hull, SpeedOverGround.FromMetresPerSecond(v0), Math.Min(r, 0.59));
        return Math.Log(model.Solve(piece.PowerRatio, shifted).Speed.MetresPerSecond);
    }

    /// <summary>Slopes of ln speed to ln V0 and ln r under conditions.</summary>
    internal static double[] Gradient(ReferenceHull hull, double v0, double r, double power, Conditions c)
    {
        const double D = 1e-4;
        double At(double v, double s) =>
            Math.Log(new RelativeSpeedModel(hull, SpeedOverGround.FromMetresPerSecond(v), s).Solve(power, c).Speed.MetresPerSecond);
        double f = At(v0, r);
        return [(At(v0 * Math.Exp(D), r) - f) / D, (At(v0, r * Math.Exp(D)) - f) / D];
    }

    private static double[] Unit(int n, int at)
    {
        var e = new double[n];
        e[at] = 1;
        return e;
    }

    /// <summary>Solves a symmetric positive system by Cholesky's factors.</summary>
    internal static double[] Solve(double[,] a, double[] b)
    {
        int n = b.Length;
        var l = new double[n, n];
        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j <= i; j++)
            {
                double sum = a[i, j];
                for (int k = 0; k < j; k++)
                {
                    sum -= l[i, k] * l[j, k];
                }

                l[i, j] = i == j ? Math.Sqrt(Math.Max(sum, 1e-300)) : sum / l[j, j];
            }
        }

        var y = new double[n];
        for (int i = 0; i < n; i++)
        {
            double sum = b[i];
            for (int k = 0; k < i; k++)
            {
                sum -= l[i, k] * y[k];
            }

            y[i] = sum / l[i, i];
        }

        for (int i = n - 1; i >= 0; i--)
        {
            double sum = y[i];
            for (int k = i + 1; k < n; k++)
            {
                sum -= l[k, i] * y[k];
            }

            y[i] = sum / l[i, i];
        }

        return y;
    }
}
