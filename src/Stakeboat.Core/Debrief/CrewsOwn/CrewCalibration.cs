using Stakeboat.Core.Energetics;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Physics;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief.CrewsOwn;

/// <summary>Wind and water of an outing, as the person remembers or measured them.</summary>
/// <param name="WindSpeed">At crew height, m/s; null: not known, taken as 0 ± 2.5.</param>
/// <param name="WindFrom">Bearing it blew from, degrees; needed with a speed above zero.</param>
/// <param name="OnTheBank">Measured on the bank: ± 0.4 m/s along the course, else ± 1.</param>
public sealed record OutingWeather(double? WindSpeed = null, double? WindFrom = null, bool OnTheBank = false, double WaterCelsius = 20, double AirCelsius = 20)
{
    public double WindSd => WindSpeed is null ? 2.5 : OnTheBank ? 0.4 : 1.0;
}

/// <summary>A piece as it went into the fit.</summary>
/// <param name="Pair">Number of its out-and-back pair; null for a piece without a partner.</param>
/// <param name="Back">The later of the two.</param>
/// <param name="HeadWind">Along it at crew height, m/s, head positive.</param>
/// <param name="PowerRatio">Effort over the reference effort, from its rate.</param>
/// <param name="ReferenceSpeed">Its speed carried to calm, deep, fresh water at 20 C at its own effort, m/s; null without a fit.</param>
public sealed record FittedPiece(CrewPiece Piece, int? Pair, bool Back, double HeadWind, double PowerRatio, double? ReferenceSpeed);

/// <summary>What a crew's outings say of its speed.</summary>
/// <param name="Result">V0 and air share with covariance, or the reason why there is none.</param>
/// <param name="ReferenceRate">The rate at which V0 stands, strokes/min; null where no piece has a rate.</param>
/// <param name="Ladder">Pace at each rate in reference conditions, where at least two rates 2 strokes apart were rowed.</param>
/// <param name="Races">Best pieces: each outing's race.</param>
/// <param name="Speed">Critical speed from the races, or why there is none.</param>
public sealed record CrewCalibration(
    IReadOnlyList<FittedPiece> Pieces, CalibrationResult Result, double? ReferenceRate, IReadOnlyList<RateStep> Ladder,
    IReadOnlyList<BestPiece> Races, FitResult<CriticalSpeedFit> Speed)
{
    /// <summary>
    /// V0 carried to another rate along the rate ladder, m/s, with the ladder's error; the crew's own ladder where it has one, else the published
    /// slope. Null without a fit.
    /// </summary>
    public Estimate? SpeedAt(double rate)
    {
        if (Result.Fit is not { } fit)
        {
            return null;
        }

        if (ReferenceRate is not { } r0)
        {
            return fit.Speed;
        }

        var slope = RatePower.Fit(Ladder, r0).Slope;
        double step = (rate - r0) / Exponent;
        double v = fit.ReferenceSpeed * Math.Exp(slope.Mean * step);
        return new Estimate(v, v * Math.Sqrt(fit.LogCovariance[0] + slope.Sd * slope.Sd * step * step));
    }

    internal const double Exponent = 2.85;
}

/// <summary>From the tracks of a crew's outings to its reference speed, air share, rate ladder and critical speed.</summary>
public static class CrewCalibrations
{
    /// <summary>Fits everything that the outings can tell.</summary>
    /// <param name="slope">Power for one stroke/min, from the published slopes unless the crew knows its own; used to bring pieces at several rates to one effort.</param>
    public static CrewCalibration Fit(ReferenceHull hull, IReadOnlyList<(Outing Outing, OutingWeather Weather)> outings, double slope = RatePower.PriorSlope) =>
        FitPieces(hull, [.. outings.Select(o => (CrewPieces.Of(o.Outing), o.Weather))], slope);

    /// <summary>The same from pieces already found, those of each outing together.</summary>
    public static CrewCalibration FitPieces(ReferenceHull hull, IReadOnlyList<(IReadOnlyList<CrewPiece> Pieces, OutingWeather Weather)> outings, double slope = RatePower.PriorSlope)
    {
        ArgumentNullException.ThrowIfNull(hull);
        ArgumentNullException.ThrowIfNull(outings);
        double[] rates = [.. outings.SelectMany(o => o.Pieces).Select(p => p.Rate).OfType<double>().Order()];
        double? referenceRate = rates.Length > 0 ? Math.Round(rates[rates.Length / 2], 1) : null;
        var rows = new List<(CrewPiece Piece, int? Pair, bool Back, Conditions Conditions, double Ratio, double WindSd)>();
        int pairs = 0;
        foreach (var (pieces, weather) in outings)
        {
            var (pair, back) = Pairs(pieces, ref pairs);
            for (int i = 0; i < pieces.Count; i++)
            {
                double ratio = referenceRate is { } r0 && pieces[i].Rate is { } r ? Math.Exp(slope * (r - r0)) : 1;
                rows.Add((pieces[i], pair[i], back[i], Of(weather, pieces[i].BearingDegrees), ratio, weather.WindSd));
            }
        }

        double windSd = rows.Count > 0 ? Math.Sqrt(rows.Average(r => r.WindSd * r.WindSd)) : 1;
        var result = Calibration.Fit(
            hull, [.. rows.Select(r => new CalibrationPiece(SpeedOverGround.FromMetresPerSecond(r.Piece.Speed), r.Ratio, r.Conditions, r.Pair, r.Back))], new CalibrationNoise(WindSd: windSd));
        var fitted = rows.Select(r => new FittedPiece(
            r.Piece, r.Pair, r.Back, Wind.HeadPart(r.Conditions.WindSpeed, r.Conditions.WindAngle), r.Ratio, result.Fit is { } f ? InReference(hull, f, r.Piece.Speed, r.Conditions) : null)).ToArray();
        BestPiece[] races = [.. rows.Where(r => r.Piece.Race).Select(r => new BestPiece(r.Piece.WholeMetres, r.Piece.WholeSeconds))];
        return new CrewCalibration(fitted, result, referenceRate, Ladder(fitted), races, EffortFit.FitSpeed(races));
    }

    private static Conditions Of(OutingWeather weather, double bearing) => new(
        Temperature.FromCelsius(weather.WaterCelsius), Temperature.FromCelsius(weather.AirCelsius), weather.WindSpeed ?? 0,
        weather is { WindSpeed: > 0, WindFrom: { } from } ? Wind.ToCourse(Bearing.FromDegrees(from), Bearing.FromDegrees(bearing)) : default);

    /// <summary>Pieces in opposite directions (within 25 degrees) over the same water at rates within 2.5 strokes, each with the nearest after it.</summary>
    private static (int?[] Pair, bool[] Back) Pairs(IReadOnlyList<CrewPiece> pieces, ref int pairs)
    {
        var pair = new int?[pieces.Count];
        var back = new bool[pieces.Count];
        for (int i = 0; i < pieces.Count; i++)
        {
            for (int k = i + 1; k < pieces.Count && pair[i] is null; k++)
            {
                if (pair[k] is not null || !Opposite(pieces[i], pieces[k]))
                {
                    continue;
                }

                pair[i] = pair[k] = pairs++;
                back[k] = true;
            }
        }

        return (pair, back);
    }

    private static bool Opposite(CrewPiece a, CrewPiece b)
    {
        double turn = Math.Abs((((a.BearingDegrees - b.BearingDegrees) % 360) + 540) % 360 - 180);
        bool rates = a.Rate is not { } r || b.Rate is not { } q || Math.Abs(r - q) <= 2.5;
        return turn > 155 && rates && Geodesic.Distance(a.Latitude, a.Longitude, b.Latitude, b.Longitude) < Math.Max(200, 0.6 * Math.Max(a.Metres, b.Metres));
    }

    /// <summary>The speed in calm, deep, fresh water at 20 C at the power that this speed took in these conditions, m/s.</summary>
    private static double InReference(ReferenceHull hull, CalibrationFit fit, double speed, Conditions c)
    {
        var model = fit.Model(hull);
        double power = model.At(speed - c.Stream, c).Power.Watts / (model.ReferenceForce * model.ReferenceSpeed.MetresPerSecond);
        return power > 0.05 ? model.Solve(power, Conditions.Reference).Speed.MetresPerSecond : speed;
    }

    /// <summary>Speeds at the rates rowed: pieces within 1.2 strokes of each other are one rung, both ways of a pair counting alike.</summary>
    private static IReadOnlyList<RateStep> Ladder(IReadOnlyList<FittedPiece> pieces)
    {
        var usable = pieces.Where(p => p is { Pair: not null, ReferenceSpeed: not null, Piece.Rate: not null }).OrderBy(p => p.Piece.Rate).ToArray();
        var rungs = new List<List<FittedPiece>>();
        foreach (var p in usable)
        {
            if (rungs.Count == 0 || p.Piece.Rate!.Value - rungs[^1].Average(q => q.Piece.Rate!.Value) > 1.2)
            {
                rungs.Add([]);
            }

            rungs[^1].Add(p);
        }

        return rungs.Count < 2 || rungs[^1].Average(p => p.Piece.Rate!.Value) - rungs[0].Average(p => p.Piece.Rate!.Value) < 2
            ? []
            : [.. rungs.Select(r => new RateStep(r.Average(p => p.Piece.Rate!.Value), Math.Pow(r.Average(p => p.ReferenceSpeed!.Value), CrewCalibration.Exponent)))];
    }
}
