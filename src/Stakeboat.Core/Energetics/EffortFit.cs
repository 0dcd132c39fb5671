namespace Stakeboat.Core.Energetics;

/// <summary>A best effort: mean power held for a time.</summary>
public readonly record struct BestEffort(double Seconds, double Watts);

/// <summary>A best effort in the boat.</summary>
public readonly record struct BestPiece(double Metres, double Seconds);

/// <summary>Why no model was fitted.</summary>
public enum FitRefusal
{
    /// <summary>Fewer than three efforts.</summary>
    TooFew,

    /// <summary>Longest and shortest effort are less than 3 : 1 apart.</summary>
    TooAlike,

    /// <summary>An effort under 2 or over 15 minutes: outside what the model describes.</summary>
    OutsideRange,

    /// <summary>Critical power outside 50 to 98 % of the power over about six minutes.</summary>
    CriticalPowerImplausible,

    /// <summary>W' not positive, or above what was ever measured (over 45 kJ a rower).</summary>
    StoreImplausible,

    /// <summary>The maximum power is not above the power of the shortest effort.</summary>
    MaximumImplausible,
}

/// <summary>CP and W' with their covariance.</summary>
/// <param name="Model">Best estimate.</param>
/// <param name="VarCp">W².</param>
/// <param name="Cov">W J.</param>
/// <param name="VarW">J².</param>
/// <param name="Form">"work-time" or "1/t".</param>
public sealed record CriticalPowerFit(CriticalPower Model, double VarCp, double Cov, double VarW, string Form)
{
    public Units.Estimate Cp => new(Model.Cp, Math.Sqrt(VarCp));

    public Units.Estimate WPrime => new(Model.WPrime, Math.Sqrt(VarW));
}

/// <summary>CV and D' with their covariance.</summary>
public sealed record CriticalSpeedFit(CriticalSpeed Model, double VarCv, double Cov, double VarD)
{
    public Units.Estimate Cv => new(Model.Cv, Math.Sqrt(VarCv));

    public Units.Estimate DPrime => new(Model.DPrime, Math.Sqrt(VarD));
}

/// <summary>The three-parameter form as fitted; three efforts give no covariance.</summary>
public sealed record ThreeParameterFit(ThreeParameterPower Model);

/// <summary>A fit, or the reason why there is none.</summary>
public sealed record FitResult<T>(T? Fit, FitRefusal? Refusal)
    where T : class;

/// <summary>
/// Fits of the critical power model to best efforts. The covariance is that of least squares under a relative error of each effort
/// (2 % test to test unless said), widened where the efforts themselves scatter more. CP is good to 2 or 3 %, W' to 10 to 25 %.
/// </summary>
public static class EffortFit
{
    /// <summary>Test-to-test error of a best effort's power as a share: reliability studies give 2 to 3 % for CP; engineering estimate.</summary>
    public const double EffortSd = 0.02;

    /// <summary>Work-time form W = CP t + W', weighted by the relative error of the work.</summary>
    public static FitResult<CriticalPowerFit> Fit(IReadOnlyList<BestEffort> efforts, double relativeSd = EffortSd)
    {
        ArgumentNullException.ThrowIfNull(efforts);
        double[] t = [.. efforts.Select(e => e.Seconds)];
        if (RefuseTimes(t) is { } refusal)
        {
            return new FitResult<CriticalPowerFit>(null, refusal);
        }

        double[] work = [.. efforts.Select(e => e.Watts * e.Seconds)];
        double[] weight = [.. work.Select(w => 1 / (relativeSd * relativeSd * w * w))];
        var line = Line(t, work, weight, true);
        var fit = new CriticalPowerFit(new CriticalPower(line.Slope, line.Offset), line.VarSlope, line.Cov, line.VarOffset, "work-time");
        return Judge(fit) is { } bad ? new FitResult<CriticalPowerFit>(null, bad) : new FitResult<CriticalPowerFit>(fit, null);
    }

    /// <summary>Work-time form with equal weights, as textbooks fit it; no refusal, no covariance. For comparing with published figures.</summary>
    public static CriticalPower WorkTime(IReadOnlyList<BestEffort> efforts)
    {
        var line = Line([.. efforts.Select(e => e.Seconds)], [.. efforts.Select(e => e.Watts * e.Seconds)], [.. efforts.Select(_ => 1.0)], false);
        return new CriticalPower(line.Slope, line.Offset);
    }

    /// <summary>Form P = CP + W'/t with equal weights; no refusal.</summary>
    public static CriticalPower InverseTime(IReadOnlyList<BestEffort> efforts)
    {
        var line = Line([.. efforts.Select(e => 1 / e.Seconds)], [.. efforts.Select(e => e.Watts)], [.. efforts.Select(_ => 1.0)], false);
        return new CriticalPower(line.Offset, line.Slope);
    }

    /// <summary>Boat-speed form D = CV t + D' from at least three best pieces; the times carry the error (0.7 % speed is 2 % power).</summary>
    public static FitResult<CriticalSpeedFit> FitSpeed(IReadOnlyList<BestPiece> pieces, double relativeSd = EffortSd / 2.85)
    {
        ArgumentNullException.ThrowIfNull(pieces);
        double[] t = [.. pieces.Select(p => p.Seconds)];
        if (RefuseTimes(t, 75, 1200) is { } refusal)
        {
            return new FitResult<CriticalSpeedFit>(null, refusal);
        }

        double[] d = [.. pieces.Select(p => p.Metres)];
        double[] weight = [.. d.Select(m => 1 / (relativeSd * relativeSd * m * m))];
        var line = Line(t, d, weight, true);
        if (line.Offset <= 0 || line.Offset > 0.5 * d.Min())
        {
            return new FitResult<CriticalSpeedFit>(null, FitRefusal.StoreImplausible);
        }

        return new FitResult<CriticalSpeedFit>(new CriticalSpeedFit(new CriticalSpeed(line.Slope, line.Offset), line.VarSlope, line.Cov, line.VarOffset), null);
    }

    /// <summary>
    /// Three-parameter form by least squares on power: for a given k = W'/(Pmax - CP) it is linear in CP and W'; k is searched. Three efforts
    /// are met exactly. Refuses what no crew is.
    /// </summary>
    public static FitResult<ThreeParameterFit> FitThree(IReadOnlyList<BestEffort> efforts)
    {
        ArgumentNullException.ThrowIfNull(efforts);
        if (efforts.Count < 3)
        {
            return new FitResult<ThreeParameterFit>(null, FitRefusal.TooFew);
        }

        double best = double.PositiveInfinity, bestK = 0;
        for (double k = 0; k <= 1500; k += k < 60 ? 0.5 : 2)
        {
            double e = ThreeError(efforts, k, out _);
            if (e < best)
            {
                best = e;
                bestK = k;
            }
        }

        double lo = Math.Max(bestK - 2, 0), hi = bestK + 2;
        double golden = (Math.Sqrt(5) - 1) / 2;
        for (int i = 0; i < 80; i++)
        {
            double a = hi - golden * (hi - lo), b = lo + golden * (hi - lo);
            if (ThreeError(efforts, a, out _) < ThreeError(efforts, b, out _))
            {
                hi = b;
            }
            else
            {
                lo = a;
            }
        }

        bestK = (lo + hi) / 2;
        _ = ThreeError(efforts, bestK, out var two);
        var model = new ThreeParameterPower(two.Cp, two.WPrime, bestK > 1e-9 ? two.Cp + two.WPrime / bestK : double.PositiveInfinity);
        if (model.WPrime is <= 0 or > 45_000)
        {
            return new FitResult<ThreeParameterFit>(null, FitRefusal.StoreImplausible);
        }

        double shortest = efforts.MinBy(e => e.Seconds).Watts;
        if (model.Pmax <= shortest)
        {
            return new FitResult<ThreeParameterFit>(null, FitRefusal.MaximumImplausible);
        }

        double six = model.PowerFor(360);
        return model.Cp < 0.5 * six || model.Cp > 0.98 * six
            ? new FitResult<ThreeParameterFit>(null, FitRefusal.CriticalPowerImplausible)
            : new FitResult<ThreeParameterFit>(new ThreeParameterFit(model), null);
    }

    private static double ThreeError(IReadOnlyList<BestEffort> efforts, double k, out CriticalPower two)
    {
        var line = Line([.. efforts.Select(e => 1 / (e.Seconds + k))], [.. efforts.Select(e => e.Watts)], [.. efforts.Select(_ => 1.0)], false);
        two = new CriticalPower(line.Offset, line.Slope);
        double sum = 0;
        foreach (var e in efforts)
        {
            double r = e.Watts - line.Offset - line.Slope / (e.Seconds + k);
            sum += r * r;
        }

        return sum;
    }

    private static FitRefusal? RefuseTimes(double[] seconds, double least = 120, double most = 900)
    {
        if (seconds.Length < 3)
        {
            return FitRefusal.TooFew;
        }

        if (seconds.Any(t => t < least - 1e-9 || t > most + 1e-9))
        {
            return FitRefusal.OutsideRange;
        }

        return seconds.Max() / seconds.Min() < 3 - 1e-9 ? FitRefusal.TooAlike : null;
    }

    private static FitRefusal? Judge(CriticalPowerFit fit)
    {
        if (fit.Model.WPrime is <= 0 or > 45_000)
        {
            return FitRefusal.StoreImplausible;
        }

        double six = fit.Model.PowerFor(360);
        return fit.Model.Cp < 0.5 * six || fit.Model.Cp > 0.98 * six ? FitRefusal.CriticalPowerImplausible : null;
    }

    private static (double Slope, double Offset, double VarSlope, double Cov, double VarOffset) Line(double[] x, double[] y, double[] w, bool widen)
    {
        double s = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
        for (int i = 0; i < x.Length; i++)
        {
            s += w[i];
            sx += w[i] * x[i];
            sy += w[i] * y[i];
            sxx += w[i] * x[i] * x[i];
            sxy += w[i] * x[i] * y[i];
        }

        double det = s * sxx - sx * sx;
        double slope = (s * sxy - sx * sy) / det;
        double offset = (sxx * sy - sx * sxy) / det;
        double factor = 1;
        if (widen && x.Length > 3)
        {
            double chi = 0;
            for (int i = 0; i < x.Length; i++)
            {
                double r = y[i] - offset - slope * x[i];
                chi += w[i] * r * r;
            }

            factor = Math.Max(1, chi / (x.Length - 2));
        }

        return (slope, offset, factor * s / det, -factor * sx / det, factor * sxx / det);
    }
}
