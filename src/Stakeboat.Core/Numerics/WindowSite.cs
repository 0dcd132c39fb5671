namespace Stakeboat.Core.Numerics;

/// <summary>A soft window on a scalar, with the logarithm of its weight among its rivals.</summary>
public readonly record struct Window(double Low, double High, double LogWeight);

/// <summary>One scalar that a site may be about: the chain's step that carries it, the windows on it and the softness of their edges.</summary>
public sealed class WindowArm(int step, Window[] windows, double softness)
{
    public int Step { get; set; } = step;

    public Window[] Windows { get; } = windows;

    /// <summary>Standard deviation of the edges, in the scalar's unit. May be refined between sweeps.</summary>
    public double Softness { get; set; } = softness;
}

/// <summary>
/// Evidence of the kind "one of these windows holds the value, or none of them": likelihood = gross + Σ over arms and windows of
/// weight × P(low &lt; y + e &lt; high). Approximated by one Gaussian site for each arm.
/// </summary>
/// <param name="logGross">log of the flat likelihood of a gross error; -∞: none is possible.</param>
public sealed class WindowSite(WindowArm[] arms, double logGross)
{
    public WindowArm[] Arms { get; } = arms;

    public double LogGross { get; } = logGross;

    /// <summary>log of the likelihood's integral against the cavities, from the last sweep.</summary>
    public double LogMass { get; internal set; }

    /// <summary>Posterior probability of each window, arm by arm, from the last sweep.</summary>
    public double[] Posterior { get; } = new double[arms.Sum(a => a.Windows.Length)];

    /// <summary>Posterior probability that this was a gross error, from the last sweep.</summary>
    public double GrossPosterior { get; internal set; }
}
