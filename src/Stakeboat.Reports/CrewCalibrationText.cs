using System.Globalization;
using Stakeboat.Core.Debrief.CrewsOwn;
using Stakeboat.Core.Physics;

namespace Stakeboat.Reports;

/// <summary>What a calibration says, in words and as lines for a plan's head; the same on the command line and on the page.</summary>
public static class CrewCalibrationText
{
    /// <summary>Why nothing was fitted, and what would mend it.</summary>
    public static string Say(CalibrationRefusal r) => r switch
    {
        CalibrationRefusal.Nothing => "No steady piece of 30 s or more was found. Bring an outing with a track on which pieces were rowed straight and hard.",
        CalibrationRefusal.OneDirection => "It takes a pair out and back over one stretch at one rate: rowed one way only, stream and speed cannot be told apart.",
        CalibrationRefusal.EffortsTooFarApart => "The efforts differ by more than a factor of two. Keep pieces at nearer rates.",
        CalibrationRefusal.SpeedOutOfRange => "A speed lies far from what this class of boat rows. Is the class right?",
        CalibrationRefusal.WindTooStrong => "A piece was rowed in more than 8 m/s of wind: outside the model. Leave that day out.",
        _ => "The wind along the course never differed enough to see the air's share: it stays the class's.",
    };

    /// <summary>Lines for a plan's head.</summary>
    /// <param name="rate">Base rate of the plan; the reference pace is carried to it along the ladder.</param>
    public static IReadOnlyList<string> PlanLines(CrewCalibration c, double? rate)
    {
        ArgumentNullException.ThrowIfNull(c);
        var lines = new List<string>();
        if (c.Result.Fit is { } fit)
        {
            var speed = (rate is { } r ? c.SpeedAt(r) : null) ?? fit.Speed;
            double pace = 500 / speed.Mean;
            lines.Add(string.Create(CultureInfo.InvariantCulture, $"reference {PlanPaperText.Clock(pace)} ± {pace * speed.Sd / speed.Mean:0.0} s"));
            if (!fit.NotSeen.Contains(CalibrationRefusal.AirShareNotSeen))
            {
                lines.Add(string.Create(CultureInfo.InvariantCulture, $"airshare {100 * fit.AirShare:0.0} %"));
            }
        }

        if (c.Ladder.Count > 1)
        {
            lines.Add("ladder " + string.Join(", ", c.Ladder.Select(s => string.Create(
                CultureInfo.InvariantCulture, $"{s.PerMinute:0.0} {PlanPaperText.Clock(500 / Math.Pow(s.Power, 1 / 2.85))}"))));
        }

        if (c.Speed.Fit is not null)
        {
            lines.Add("pieces " + string.Join(", ", c.Races.Select(p => string.Create(CultureInfo.InvariantCulture, $"{p.Metres:0} m {PlanPaperText.Clock(p.Seconds)}"))));
        }

        return lines;
    }

    /// <summary>What was seen and what was not, a sentence each.</summary>
    public static IReadOnlyList<string> Sentences(CrewCalibration c)
    {
        ArgumentNullException.ThrowIfNull(c);
        var list = new List<string>();
        if (c.Result.Refusal is { } refusal)
        {
            list.Add(Say(refusal));
        }

        if (c.Result.Fit is { } fit)
        {
            string at = c.ReferenceRate is { } r ? string.Create(CultureInfo.InvariantCulture, $" at rate {r:0.0}") : "";
            list.Add(string.Create(CultureInfo.InvariantCulture,
                $"Reference speed{at}: {fit.ReferenceSpeed:0.000} m/s (90 %: {fit.Speed.Low90:0.000} to {fit.Speed.High90:0.000}), {PlanPaperText.Clock(500 / fit.ReferenceSpeed)} in calm, deep, fresh water at 20 C."));
            list.Add(string.Create(CultureInfo.InvariantCulture,
                $"Air's share of the resistance: {100 * fit.AirShare:0.0} % (90 %: {100 * fit.AirShare * Math.Exp(-1.645 * Math.Sqrt(fit.LogCovariance[3])):0.0} to {100 * fit.AirShare * Math.Exp(1.645 * Math.Sqrt(fit.LogCovariance[3])):0.0})."));
            list.AddRange(fit.NotSeen.Select(Say));
            if (c.ReferenceRate is null)
            {
                list.Add("No rate was found in these tracks: all pieces were taken as one effort.");
            }
        }

        if (c.Races.Count > 0 && c.Speed.Refusal is { } why)
        {
            list.Add($"No critical speed from {(c.Races.Count == 1 ? "the one race" : string.Create(CultureInfo.InvariantCulture, $"the {c.Races.Count} races"))} here: {Core.Plans.PlanCrewFacts.Say(why)}");
        }

        return list;
    }
}
