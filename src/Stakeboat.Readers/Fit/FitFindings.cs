using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;
using Stakeboat.Readers.Tracks;

namespace Stakeboat.Readers.Fit;

/// <summary>Gathers records, laps, sessions and accelerometer data out of messages. Field numbers: public profile, from memory, checked against gpsbabel's files.</summary>
internal sealed class FitFindings(string name, IssueLog log)
{
    /// <summary>Values below this count from the device's power-on and not from 1989.</summary>
    private const double FirstDate = 0x10000000;

    private readonly List<Fix> _fixes = [];
    private readonly List<Lap> _laps = [];
    private readonly List<Lap> _sessions = [];
    private readonly Dictionary<(byte Index, byte Field), (byte Type, string Name)> _developer = [];
    private readonly FitMotion _motion = new(log);
    private uint _last;
    private bool _hasTime;
    private int _segment = -1;
    private int _noPosition;
    private int _records;
    private bool _sinceBoot;

    public void BeginFile()
    {
        _segment++;
        _hasTime = false;
        _developer.Clear();
    }

    /// <summary>Takes one message. <paramref name="offset"/> is the five-bit time of a compressed head, else -1.</summary>
    public void Message(FitDefinition d, ReadOnlySpan<byte> m, int offset)
    {
        double? time = null;
        if (d.Get(m, 253) is { } t and >= 0 and <= uint.MaxValue)
        {
            _last = (uint)t;
            _hasTime = true;
            time = t;
        }
        else if (offset >= 0 && _hasTime)
        {
            // The offset replaces the last five bits; when it went down, 32 seconds have gone by.
            _last = unchecked((_last & ~31u) + (uint)offset + (offset < (_last & 31) ? 32u : 0));
            time = _last;
        }

        switch (d.Global)
        {
            case 20:
                Record(d, m, time);
                break;
            case 19:
                _laps.Add(Stretch(d, m));
                break;
            case 18:
                _sessions.Add(Stretch(d, m));
                break;
            case 206:
                if (d.Get(m, 0) is { } index && d.Get(m, 1) is { } number)
                {
                    string title = d.Field(3) is { } f ? f.Text(m) : "";
                    _developer[((byte)index, (byte)number)] = ((byte)(d.Get(m, 2) ?? 13), title);
                }

                break;
            case 165:
                _motion.Samples(d, m, time is { } s ? Unix(s) : null);
                break;
            case 167:
                _motion.Calibrate(d, m);
                break;
        }
    }

    public Reading<TrackFile> Finish()
    {
        if (_noPosition > 0)
        {
            log.Add(Severity.Note, "", "A record has no position.", "It is no fix; indoors or before the first satellite there is none.", _noPosition);
        }

        if (_developer.Count > 0)
        {
            log.Note("", $"The file has fields of its own: {string.Join(", ", _developer.Values.Select(v => v.Name).Where(n => n.Length > 0).Order(StringComparer.Ordinal).Take(12))}.",
                "Stroke rate, cadence, speed and heart rate among them are used where the usual ones are missing.");
        }

        if (_sinceBoot)
        {
            log.Warn("", "The time counts from the device's power-on.", "The day is unknown; the fixes keep that clock.");
        }

        var motion = _motion.Finish(name);
        TrackTidy.Tidy(_fixes, log);
        if (_fixes.Count == 0 && motion is null)
        {
            log.Error("", _records > 0 ? "Not one record has a position." : "The FIT file holds no records.", "Bring a file of an outing with satellite reception.");
            return log.Reading<TrackFile>(null);
        }

        return log.Reading(new TrackFile(_fixes.Count > 0 ? [new Track(name, _fixes)] : [], [], _laps, motion is null ? [] : [motion]) { Sessions = _sessions });
    }

    // Laps and sessions have these fields alike: start, timer time (else elapsed time) in ms, distance in cm.
    private Lap Stretch(FitDefinition d, ReadOnlySpan<byte> m) =>
        new(d.Get(m, 2) is { } start ? Unix(start) : null, d.Get(m, 8) / 1000 ?? d.Get(m, 7) / 1000, d.Get(m, 9) / 100);

    private double Unix(double fit)
    {
        if (fit < FirstDate)
        {
            _sinceBoot = true;
            return fit;
        }

        return fit + FitReader.Epoch;
    }

    private void Record(FitDefinition d, ReadOnlySpan<byte> m, double? time)
    {
        _records++;
        if (d.Get(m, 0) is not { } latitude || d.Get(m, 1) is not { } longitude)
        {
            _noPosition++;
            return;
        }

        latitude *= 180 / 2147483648.0;
        longitude *= 180 / 2147483648.0;
        if (!TrackTidy.Position(latitude, longitude, IssueLog.Record(_records), log, out longitude))
        {
            return;
        }

        double? altitude = d.Get(m, 78) ?? d.Get(m, 2), speed = d.Get(m, 73) ?? d.Get(m, 6), cadence = d.Get(m, 4) + (d.Get(m, 53) / 128 ?? 0), heart = d.Get(m, 3);
        Own(d, m, ref speed, ref cadence, ref heart);
        _fixes.Add(new Fix(
            time is { } t ? Instant<SatelliteClock>.FromSeconds(Unix(t)) : null, latitude, longitude,
            (altitude / 5) - 500, speed / 1000, null, null, d.Get(m, 31), heart is > 0 ? heart : null, cadence, _segment));
    }

    // Fields that an add-on of the watch declared itself.
    private void Own(FitDefinition d, ReadOnlySpan<byte> m, ref double? speed, ref double? cadence, ref double? heart)
    {
        for (int i = 0; i < d.Developer.Length; i++)
        {
            if (!_developer.TryGetValue((d.DeveloperIndex[i], d.Developer[i].Number), out var own))
            {
                continue;
            }

            double? v = (d.Developer[i] with { BaseType = own.Type }).Number64(m, d.Big);
            string n = own.Name.ToLowerInvariant();
            if (v is >= 0 and < 300 && cadence is null && (n.Contains("cadence", StringComparison.Ordinal) || n.Contains("stroke rate", StringComparison.Ordinal) || n.Contains("strokerate", StringComparison.Ordinal) || n is "spm"))
            {
                cadence = v;
            }
            else if (v is > 0 and < 300 && heart is null && n.Contains("heart", StringComparison.Ordinal))
            {
                heart = v;
            }
            else if (v is >= 0 and < 100 && speed is null && n is "speed")
            {
                speed = v * 1000;
            }
        }
    }
}
