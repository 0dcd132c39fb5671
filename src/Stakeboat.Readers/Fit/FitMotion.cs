using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Motion;

namespace Stakeboat.Readers.Fit;

/// <summary>
/// Accelerometer samples of a FIT file: message 165 carries a batch with a second, a millisecond and an offset for each sample; message 167 turns raw
/// counts into multiples of g (public profile, from memory).
/// </summary>
internal sealed class FitMotion(IssueLog log)
{
    private readonly List<double> _t = [], _x = [], _y = [], _z = [];
    private readonly double[] _offset = new double[3];
    private readonly double[] _turn = [1, 0, 0, 0, 1, 0, 0, 0, 1];
    private double _factor;
    private double _shift;
    private int _raw;

    public void Calibrate(FitDefinition d, ReadOnlySpan<byte> m)
    {
        if (d.Get(m, 0) is not (null or 0) || d.Get(m, 1) is not { } factor || d.Get(m, 2) is not ({ } divisor and not 0))
        {
            return; // not the accelerometer's
        }

        _factor = factor / divisor;
        _shift = d.Get(m, 3) ?? 0;
        for (int i = 0; i < 3; i++)
        {
            _offset[i] = d.Get(m, 4, i) ?? 0;
        }

        for (int i = 0; i < 9; i++)
        {
            _turn[i] = d.Get(m, 5, i) / 65535 ?? (i % 4 == 0 ? 1 : 0);
        }
    }

    public void Samples(FitDefinition d, ReadOnlySpan<byte> m, double? second)
    {
        if (second is not { } start || d.Field(1) is not { } offsets)
        {
            return;
        }

        start += (d.Get(m, 0) ?? 0) / 1000;
        byte first = (byte)(d.Field(5) is not null ? 5 : d.Field(8) is not null ? 8 : 2);
        if (d.Field(first) is not { } x || d.Field((byte)(first + 1)) is not { } y || d.Field((byte)(first + 2)) is not { } z)
        {
            return;
        }

        for (int i = 0; i < offsets.Count; i++)
        {
            if (offsets.Number64(m, d.Big, i) is not { } ms || x.Number64(m, d.Big, i) is not { } a || y.Number64(m, d.Big, i) is not { } b || z.Number64(m, d.Big, i) is not { } c)
            {
                continue;
            }

            if (first == 8)
            {
                (a, b, c) = (a / 1000, b / 1000, c / 1000);
            }
            else if (first == 2)
            {
                if (_factor == 0)
                {
                    _raw++;
                    continue;
                }

                double u = (a - _shift - _offset[0]) * _factor, v = (b - _shift - _offset[1]) * _factor, w = (c - _shift - _offset[2]) * _factor;
                a = (_turn[0] * u) + (_turn[1] * v) + (_turn[2] * w);
                b = (_turn[3] * u) + (_turn[4] * v) + (_turn[5] * w);
                c = (_turn[6] * u) + (_turn[7] * v) + (_turn[8] * w);
            }

            _t.Add(start + (ms / 1000));
            _x.Add(a * LogReader.StandardGravity);
            _y.Add(b * LogReader.StandardGravity);
            _z.Add(c * LogReader.StandardGravity);
        }
    }

    public MotionLog? Finish(string name)
    {
        if (_raw > 0)
        {
            log.Add(Severity.Warning, "", "Accelerometer samples are raw counts without a calibration.", "They were left out.", _raw);
        }

        if (_t.Count < 2)
        {
            return null;
        }

        double[][] columns = [[.. _t], [.. _x], [.. _y], [.. _z]];
        int kept = LogOrder.Sort(columns, _t.Count, 1, log);
        for (int i = 0; i < 4; i++)
        {
            Array.Resize(ref columns[i], kept);
        }

        return kept < 2 ? null : new MotionLog(name, columns[0], columns[1], columns[2], columns[3], null, null, null, HasGravity: true);
    }
}
