namespace Stakeboat.Simulation.Margins;

/// <summary>What kind of race is made for a trial of the margin engine.</summary>
public sealed record MarginTrialSettings
{
    /// <summary>Crews in the race, ours among them.</summary>
    public int Crews { get; init; } = 4;

    /// <summary>Position calls a minute.</summary>
    public double CallsPerMinute { get; init; } = 6;

    public double DistanceMetres { get; init; } = 2000;

    /// <summary>Official times of all crews at every 500 m and the finish.</summary>
    public bool Splits { get; init; }

    /// <summary>Only the finish times of all crews.</summary>
    public bool FinishTimes { get; init; }

    /// <summary>Our own hull measured every second.</summary>
    public bool Track { get; init; }

    /// <summary>Share of calls that are wrong altogether.</summary>
    public double GrossShare { get; init; } = 0.05;

    /// <summary>Spread over races of what a coxswain adds in our favour, seats; mean and standard deviation.</summary>
    public double BiasMean { get; init; } = 0.15;

    public double BiasSd { get; init; } = 0.25;

    /// <summary>Standard deviation of a told margin in the next lane, seats; a third more for every lane further. Half a seat is a guess that
    /// calls with a second coxswain beside them would have to confirm.</summary>
    public double EyeSeats { get; init; } = 0.5;

    /// <summary>Over how many seconds, at most, a coxswain's impression of a margin is the mean; each race has its own, from none to this.</summary>
    public double ImpressionSeconds { get; init; } = 20;

    /// <summary>From seeing to the end of the words, s.</summary>
    public double Delay { get; init; } = 1.5;

    public double DelaySd { get; init; } = 0.6;
}
