namespace Stakeboat.Simulation.Hull;

/// <summary>
/// Equation of motion of a hull within one stroke: drive from 0 to <see cref="Drive"/>, recovery from there to <see cref="Period"/>, in s.
/// Speeds through still water in m/s, positive forward.
/// </summary>
public abstract record StrokeModel
{
    /// <summary>Mass of all who move on slides, kg.</summary>
    public required double CrewMass { get; init; }

    /// <summary>Mass of everything fixed to the hull, kg.</summary>
    public required double BoatMass { get; init; }

    /// <summary>Drag is C u|u|, in N s²/m² (kg/m).</summary>
    public required double Drag { get; init; }

    /// <summary>Half of the body's travel in the boat, m; x = -a cos(pi t/t1) in the drive, +a cos(pi s/t2) in the recovery.</summary>
    public required double Slide { get; init; }

    /// <summary>Duration of the drive, s.</summary>
    public required double Drive { get; init; }

    /// <summary>Catch to catch, s.</summary>
    public required double Period { get; init; }

    /// <summary>A sharp check at the catch, off by default.</summary>
    public CatchSpike? Spike { get; init; }

    public double TotalMass => CrewMass + BoatMass;

    /// <summary>Propulsive force along the hull, N, at <paramref name="t"/> s after the catch and speed <paramref name="u"/>; 0 in the recovery.</summary>
    public abstract double Force(double t, double u, bool drive);

    /// <summary>Acceleration of the body relative to the boat, m/s², positive towards the bow. It jumps at the catch and the finish.</summary>
    public double BodyAcceleration(double t, bool drive)
    {
        double k = Math.PI / (drive ? Drive : Period - Drive);
        return drive ? Slide * k * k * Math.Cos(k * t) : -Slide * k * k * Math.Cos(k * (t - Drive));
    }

    /// <summary>Speed of the body relative to the boat, m/s, positive towards the bow.</summary>
    public double BodySpeed(double t, bool drive)
    {
        double k = Math.PI / (drive ? Drive : Period - Drive);
        return drive ? Slide * k * Math.Sin(k * t) : -Slide * k * Math.Sin(k * (t - Drive));
    }

    /// <summary>(mB + mR) u' = F - C u|u| - mR x'' (Brearley and de Mestre 1996), plus the catch spike where one is asked for; m/s².</summary>
    public double Acceleration(double t, double u, bool drive) =>
        (Force(t, u, drive) - Drag * u * Math.Abs(u) - CrewMass * BodyAcceleration(t, drive)) / TotalMass
        + (Spike?.At(t, Period) ?? 0);
}

/// <summary>
/// Force form: N oars, each F sin(pi t/t1) in the drive (Brearley and de Mestre 1996 for the equation; the sine is one of several shapes).
/// </summary>
public sealed record ForceStroke : StrokeModel
{
    public required int Oars { get; init; }

    /// <summary>Greatest propulsive force of one oar, N.</summary>
    public required double PeakForce { get; init; }

    public override double Force(double t, double u, bool drive) => drive ? Oars * PeakForce * Math.Sin(Math.PI * t / Drive) : 0;
}

/// <summary>
/// Oar form after Alexander 1925 and Cabrera, Ruina and Kleshnev 2006 with oar mass left out and the oar's angle prescribed:
/// theta = middle + sweep cos(pi t/t1), 0 square to the hull, positive to the bow; v_n = u cos(theta) + l theta';
/// the blade pushes N C2 v_n² cos(theta) where v_n is negative in the drive.
/// </summary>
public sealed record OarStroke : StrokeModel
{
    public required int Oars { get; init; }

    /// <summary>Blade drag, N s²/m².</summary>
    public required double BladeDrag { get; init; }

    /// <summary>Oarlock to the blade's centre, m.</summary>
    public required double Outboard { get; init; }

    /// <summary>rad.</summary>
    public required double MiddleAngle { get; init; }

    /// <summary>Half of the arc, rad.</summary>
    public required double Sweep { get; init; }

    public override double Force(double t, double u, bool drive)
    {
        if (!drive)
        {
            return 0;
        }

        double k = Math.PI / Drive;
        double theta = MiddleAngle + Sweep * Math.Cos(k * t);
        double cos = Math.Cos(theta);
        double slip = u * cos - Outboard * Sweep * k * Math.Sin(k * t);
        return slip < 0 ? Oars * BladeDrag * slip * slip * cos : 0;
    }
}

/// <summary>
/// A Gaussian dip of acceleration at the catch, made up evenly over the stroke so that its mean is zero.
/// Depth in m/s² (positive number), width is the standard deviation in s. Common practice, no source: 4 m/s², 0.04 s.
/// </summary>
public sealed record CatchSpike(double Depth = 4, double Width = 0.04)
{
    /// <summary>Half belongs to the end of one stroke and half to the beginning of the next.</summary>
    public double At(double t, double period)
    {
        double a = t / Width, b = (t - period) / Width;
        return Depth * (Width * Math.Sqrt(2 * Math.PI) / period - Math.Exp(-a * a / 2) - Math.Exp(-b * b / 2));
    }
}
