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
    /// <summary>Every part of the likelihood counts.</summary>
    public const int AllOptions = -1;

    public WindowArm[] Arms { get; } = arms;

    public double LogGross { get; } = logGross;

    /// <summary>Which part of the likelihood alone counts: a window in order, arm by arm; their number for the gross error; or <see cref="AllOptions"/>.</summary>
    public int Only { get; set; } = AllOptions;

    /// <summary>Number of windows, which is also the option of the gross error.</summary>
    public int WindowCount => Posterior.Length;

    /// <summary>log of the likelihood's integral against the cavities, from the last sweep.</summary>
    public double LogMass { get; internal set; }

    /// <summary>Posterior probability of each window, arm by arm, from the last sweep.</summary>
    public double[] Posterior { get; } = new double[arms.Sum(a => a.Windows.Length)];

    /// <summary>Posterior probability that this was a gross error, from the last sweep.</summary>
    public double GrossPosterior { get; internal set; }

    /// <summary>
    /// From the last sweep: the largest share, over the arms, of the matched variance that lies between the options rather than within them.
    /// Near 0 one normal does for all; near 1 they are modes of their own.
    /// </summary>
    public double Between { get; internal set; }

    internal CutMoments[] Moments { get; } = new CutMoments[arms.Sum(a => a.Windows.Length)];
}
