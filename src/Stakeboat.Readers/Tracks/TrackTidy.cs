using System.Globalization;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Readers.Tracks;

/// <summary>
/// What every track gets before it is handed on: sense of the numbers, order of time, duplicates. Spikes and gaps are counted and kept: what to do about them
/// is the estimator's affair.
/// </summary>
public static class TrackTidy
{
    /// <summary>A step back of at most this is jitter and sorted; a larger one begins a new segment. s.</summary>
    public const double SortWithin = 2;

    /// <summary>A pause longer than this is a gap. s.</summary>
    public const double Gap = 5;

    /// <summary>Faster than any rowed boat between two fixes is a spike. m/s; measured record about 6.3.</summary>
    public const double SpikeSpeed = 9;

    /// <summary>Worst HDOP that passes unremarked.</summary>
    public const double DoubtfulDilution = 5;

    /// <summary>Farthest time that can be one, seconds since 1970: some nineteen centuries either way.</summary>
    private const double FarthestSeconds = 6e10;

    /// <summary>Tidies in place. A fix whose time lies outside the calendar loses it.</summary>
    public static void Tidy(List<Fix> fixes, IssueLog log)
    {
        ArgumentNullException.ThrowIfNull(fixes);
        ArgumentNullException.ThrowIfNull(log);
        Dates(fixes, log);
        SortAndSplit(fixes, log);
        Duplicates(fixes, log);
        Count(fixes, log);
    }

    /// <summary>True where a position can be one; a remark where not.</summary>
    public static bool Position(double latitude, double longitude, string place, IssueLog log, out double eastWrapped)
    {
        ArgumentNullException.ThrowIfNull(log);
        eastWrapped = longitude == 180 ? -180 : longitude;
        if (!(Math.Abs(latitude) <= 90 && Math.Abs(longitude) <= 180))
        {
            log.Warn(place, "A position lies outside the globe.", "The fix was left out.");
            return false;
        }

        if (latitude == 0 && longitude == 0)
        {
            log.Warn(place, "A position is exactly 0, 0, which receivers write while they have none.", "The fix was left out.");
            return false;
        }

        return true;
    }

    // What is beyond the calendar is no time, and could not be written as one.
    private static void Dates(List<Fix> fixes, IssueLog log)
    {
        int beyond = 0;
        for (int i = 0; i < fixes.Count; i++)
        {
            if (fixes[i].Time is { } t && !(Math.Abs(t.Seconds) < FarthestSeconds))
            {
                fixes[i] = fixes[i] with { Time = null };
                beyond++;
            }
        }

        Say(log, beyond, "A time lies far outside the calendar.", "The fix was kept without one.", Severity.Warning);
    }

    private static void SortAndSplit(List<Fix> fixes, IssueLog log)
    {
        double newest = double.NegativeInfinity;
        int shift = 0, segment = int.MinValue, sorted, split = 0, untimed = 0;
        for (int i = 0; i < fixes.Count; i++)
        {
            var f = fixes[i];
            if (f.Segment != segment)
            {
                segment = f.Segment;
                newest = double.NegativeInfinity;
            }

            if (f.Time is not { } t)
            {
                untimed++;
            }
            else if (t.Seconds < newest - SortWithin)
            {
                shift++;
                split++;
                newest = t.Seconds;
            }
            else
            {
                newest = Math.Max(newest, t.Seconds);
            }

            if (shift > 0)
            {
                fixes[i] = f with { Segment = f.Segment + shift };
            }
        }

        // Stable, within each segment; a fix without a time stays behind the one before it.
        sorted = Sort(fixes);
        Say(log, sorted, "Fixes step back in time by two seconds or less.", "They were put in order.", Severity.Note);
        Say(log, split, "The time steps back by more than two seconds.", "A new segment begins there; no fix was moved.", Severity.Warning);
        if (untimed > 0 && untimed < fixes.Count)
        {
            Say(log, untimed, "A fix has no time.", "It was kept without one.", Severity.Warning);
        }
        else if (untimed > 0)
        {
            log.Warn("", "No fix has a time.", "The line can be drawn; speed and rate cannot be had from it.");
        }
    }

    private static int Sort(List<Fix> fixes)
    {
        bool ordered = true;
        double newest = double.NegativeInfinity;
        for (int i = 0; i < fixes.Count && ordered; i++)
        {
            newest = i > 0 && fixes[i].Segment != fixes[i - 1].Segment ? double.NegativeInfinity : newest;
            double t = fixes[i].Time?.Seconds ?? newest;
            ordered = t >= newest && (i == 0 || fixes[i].Segment >= fixes[i - 1].Segment);
            newest = t;
        }

        if (ordered)
        {
            return 0;
        }

        var keys = new (int Segment, double Time, int Place)[fixes.Count];
        for (int i = 0; i < keys.Length; i++)
        {
            double carried = i > 0 && fixes[i].Segment == keys[i - 1].Segment ? keys[i - 1].Time : double.NegativeInfinity;
            keys[i] = (fixes[i].Segment, fixes[i].Time?.Seconds ?? carried, i);
        }

        Array.Sort(keys);
        var copy = fixes.ToArray();
        int moved = 0;
        for (int i = 0; i < keys.Length; i++)
        {
            moved += keys[i].Place < i ? 1 : 0;
            fixes[i] = copy[keys[i].Place];
        }

        return moved;
    }

    private static void Duplicates(List<Fix> fixes, IssueLog log)
    {
        int kept = 0, dropped = 0, timed = -1; // the last fix with a time among those kept
        for (int i = 0; i < fixes.Count; i++)
        {
            if (fixes[i].Time is { } t)
            {
                if (timed >= 0 && fixes[timed].Segment == fixes[i].Segment && t.Seconds == fixes[timed].Time!.Value.Seconds)
                {
                    dropped++;
                    if ((fixes[i].HorizontalDilution ?? 99) < (fixes[timed].HorizontalDilution ?? 99))
                    {
                        fixes[timed] = fixes[i];
                    }

                    continue;
                }

                timed = kept;
            }

            fixes[kept++] = fixes[i];
        }

        fixes.RemoveRange(kept, fixes.Count - kept);
        Say(log, dropped, "Two fixes have the same time.", "The one with the better HDOP was kept, else the first.", Severity.Warning);
    }

    private static void Count(List<Fix> fixes, IssueLog log)
    {
        int gaps = 0, spikes = 0, diluted = 0;
        double longest = 0;
        for (int i = 0; i < fixes.Count; i++)
        {
            diluted += fixes[i].HorizontalDilution > DoubtfulDilution ? 1 : 0;
            if (i == 0 || fixes[i].Segment != fixes[i - 1].Segment || fixes[i].Time is not { } t || fixes[i - 1].Time is not { } before)
            {
                continue;
            }

            double dt = t.Seconds - before.Seconds;
            if (dt > Gap)
            {
                gaps++;
                longest = Math.Max(longest, dt);
            }
            else if (dt > 0 && Metres(fixes[i - 1], fixes[i]) > SpikeSpeed * dt)
            {
                spikes++;
            }
        }

        Say(log, gaps, string.Create(CultureInfo.InvariantCulture, $"There is no fix for more than {Gap:0} s; the longest gap has {longest:0.#} s."), "Nothing was put into the gap.", Severity.Note);
        Say(log, spikes, string.Create(CultureInfo.InvariantCulture, $"Two neighbours would need more than {SpikeSpeed:0} m/s."), "Both were kept; the estimate weighs them down.", Severity.Note);
        Say(log, diluted, string.Create(CultureInfo.InvariantCulture, $"HDOP is above {DoubtfulDilution:0}."), "The fixes were kept; the estimate weighs them down.", Severity.Note);
    }

    private static void Say(IssueLog log, int count, string what, string done, Severity severity)
    {
        if (count > 0)
        {
            log.Add(severity, "", what, done, count);
        }
    }

    /// <summary>Metres between two fixes on a sphere of 6371 km with the mid-latitude of the pair; good to 0.5 %, enough for a gate.</summary>
    internal static double Metres(in Fix a, in Fix b)
    {
        double east = LongitudeStep(a.LongitudeDegrees, b.LongitudeDegrees) * Math.Cos((a.LatitudeDegrees + b.LatitudeDegrees) * (Math.PI / 360));
        double north = b.LatitudeDegrees - a.LatitudeDegrees;
        return Math.Sqrt((east * east) + (north * north)) * (Math.PI / 180 * 6_371_000);
    }

    /// <summary>b - a in degrees across the date line, in [-180, 180).</summary>
    public static double LongitudeStep(double a, double b) => ((((b - a + 180) % 360) + 360) % 360) - 180;
}
