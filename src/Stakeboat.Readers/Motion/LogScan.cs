using System.Buffers;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Motion;

/// <summary>
/// Rows of numbers straight from the bytes into one array a column: no strings, one pass. A field that is missing or no number is NaN.
/// </summary>
internal sealed class LogScan
{
    /// <summary>Longest line that is looked at, bytes.</summary>
    public const int MaxLine = 1 << 16;

    private readonly byte _separator;
    private readonly byte _decimal;
    private readonly int[] _target; // column of the file -> array, or -1
    private readonly bool _written;
    private readonly bool _clock;
    private readonly DateOrder _order;
    private readonly int _timeArray;
    private readonly int _dateArray;
    private readonly int _sensor; // column that names the row's sensor, or -1
    private readonly byte _lineEnd;
    private double[][] _arrays;

    /// <param name="target">For each column of the file the number of its array, or -1.</param>
    /// <param name="timeArray">Array that holds the time; a row without a time is left out.</param>
    /// <param name="rowsExpected">From the size of the file; arrays grow where it was too low.</param>
    public LogScan(LogGuess guess, int[] target, int arrays, int timeArray, int dateArray, int rowsExpected)
    {
        (char separator, char decimalMark) = (guess.Separator, guess.DecimalMark);
        _separator = (byte)separator;
        _decimal = (byte)decimalMark;
        _target = target;
        (_written, _clock, _order) = (guess.Calendar || guess.ClockOfDay, guess.ClockOfDay, guess.Order);
        (_timeArray, _dateArray) = (timeArray, dateArray);
        _lineEnd = (byte)(guess.LoneReturns ? '\r' : '\n');
        _sensor = Array.IndexOf(guess.Roles, ColumnRole.Sensor);
        _arrays = new double[arrays][];
        for (int i = 0; i < arrays; i++)
        {
            _arrays[i] = new double[Math.Max(1, rowsExpected)];
        }
    }

    public int Rows { get; private set; }

    public int BadRows { get; private set; }

    public long FirstBadLine { get; private set; }

    public int BadFields { get; private set; }

    public long FirstBadField { get; private set; }

    public int LongLines { get; private set; }

    /// <summary>Rows that name another sensor than the accelerometer.</summary>
    public int OtherSensors { get; private set; }

    public bool CutOff { get; private set; }

    /// <summary>The arrays, cut to the number of rows; the scan is spent afterwards.</summary>
    public double[][] Take()
    {
        for (int i = 0; i < _arrays.Length; i++)
        {
            if (_arrays[i].Length != Rows)
            {
                Array.Resize(ref _arrays[i], Rows);
            }
        }

        return _arrays;
    }

    /// <summary>Reads all lines from <paramref name="firstLine"/> (1-based) on.</summary>
    public void Run(Stream stream, int firstLine)
    {
        byte[] buffer = ArrayPool<byte>.Shared.Rent(1 << 18);
        try
        {
            int have = 0;
            long line = 0;
            bool end = false, skipping = false;
            while (!end)
            {
                int n = stream.Read(buffer, have, buffer.Length - have);
                end = n == 0;
                have += n;
                int from = 0;
                while (from < have)
                {
                    int length = buffer.AsSpan(from, have - from).IndexOf(_lineEnd);
                    if (length < 0)
                    {
                        if (!end)
                        {
                            break;
                        }

                        length = have - from;
                        CutOff = !skipping && length > 0;
                    }

                    line++;
                    if (skipping)
                    {
                        skipping = false;
                    }
                    else if (line >= firstLine)
                    {
                        Line(buffer.AsSpan(from, length), line);
                    }

                    from += length + 1;
                }

                have = Math.Max(0, have - from);
                if (have > MaxLine)
                {
                    LongLines += skipping ? 0 : 1;
                    skipping = true;
                    have = 0;
                }
                else if (have > 0)
                {
                    buffer.AsSpan(from, have).CopyTo(buffer);
                }
            }
        }
        finally
        {
            ArrayPool<byte>.Shared.Return(buffer);
        }
    }

    private void Line(ReadOnlySpan<byte> line, long number)
    {
        if (line.Length > 0 && line[^1] == '\r')
        {
            line = line[..^1];
        }

        if (line.Length == 0)
        {
            return;
        }

        int row = Rows;
        if (row == _arrays[0].Length)
        {
            for (int i = 0; i < _arrays.Length; i++)
            {
                Array.Resize(ref _arrays[i], row + (row / 2) + 16);
            }
        }

        foreach (var a in _arrays)
        {
            a[row] = double.NaN;
        }

        int at = 0;
        for (int column = 0; column < _target.Length && at <= line.Length; column++)
        {
            int to = _target[column];
            if (to < 0)
            {
                int skipped = FieldLength(line[at..]);
                if (column == _sensor && IsOther(line.Slice(at, skipped)))
                {
                    OtherSensors++;
                    return;
                }

                at += skipped + 1;
                continue;
            }

            // The common case in one pass: sign, at most 15 digits, one mark, then the separator.
            int i = at;
            bool negative = i < line.Length && line[i] == '-';
            if (negative)
            {
                i++;
            }

            long significand = 0;
            int first = i, mark = -1;
            for (; i < line.Length; i++)
            {
                uint d = (uint)(line[i] - '0');
                if (d <= 9)
                {
                    significand = (significand * 10) + d;
                }
                else if (line[i] == _decimal && mark < 0 && _decimal != _separator)
                {
                    mark = i;
                }
                else
                {
                    break;
                }
            }

            int digits = i - first - (mark >= 0 ? 1 : 0);
            if (digits is > 0 and <= 15 && (i == line.Length || line[i] == _separator) && !(_written && (to == _timeArray || to == _dateArray)))
            {
                double v = mark < 0 ? significand : significand / Numbers.PowerOfTen(i - mark - 1);
                _arrays[to][row] = negative ? -v : v;
                at = i + 1;
            }
            else
            {
                int length = FieldLength(line[at..]);
                Field(line.Slice(at, length), to, row, number);
                at += length + 1;
            }
        }

        if (double.IsNaN(_arrays[_timeArray][row]))
        {
            BadRows++;
            FirstBadLine = FirstBadLine == 0 ? number : FirstBadLine;
        }
        else
        {
            Rows++;
        }
    }

    // "gyroscope", "MAG", "rotation": whatever does not begin with "acc". An empty field says nothing.
    private static bool IsOther(ReadOnlySpan<byte> field)
    {
        field = field.Trim(" \t\""u8);
        return field.Length > 0 && !(field.Length >= 3 && (field[0] | 32) == 'a' && (field[1] | 32) == 'c' && (field[2] | 32) == 'c');
    }

    private int FieldLength(ReadOnlySpan<byte> rest)
    {
        if (rest.Length > 0 && rest[0] == '"')
        {
            int close = rest[1..].IndexOf((byte)'"');
            if (close >= 0)
            {
                int after = rest[(close + 2)..].IndexOf(_separator);
                return after < 0 ? rest.Length : close + 2 + after;
            }
        }

        int end = rest.IndexOf(_separator);
        return end < 0 ? rest.Length : end;
    }

    private void Field(ReadOnlySpan<byte> field, int to, int row, long number)
    {
        field = field.Trim(" \t\""u8);
        if (field.Length == 0)
        {
            return;
        }

        if (_written && (to == _timeArray || to == _dateArray))
        {
            Span<char> text = stackalloc char[64];
            if (field.Length <= 64 && System.Text.Ascii.ToUtf16(field, text, out int n) == OperationStatus.Done
                && (to == _dateArray ? LogDates.TryDate(text[..n], _order, out double t) : _clock ? LogDates.TryClock(text[..n], out t) : LogDates.TryMoment(text[..n], _order, out t)))
            {
                _arrays[to][row] = t;
                return;
            }
        }
        else if (Numbers.TryDouble(field, _decimal, out double v))
        {
            _arrays[to][row] = v;
            return;
        }

        BadFields++;
        FirstBadField = FirstBadField == 0 ? number : FirstBadField;
    }
}
