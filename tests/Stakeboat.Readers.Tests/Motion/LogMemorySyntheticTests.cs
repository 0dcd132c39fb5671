using System.Text;

namespace Stakeboat.Readers.Tests.Motion;

/// <summary>What a long log costs: its samples and no more. Bytes are measured, never time.</summary>
public class LogMemorySyntheticTests
{
    /// <summary>A file of rows that are made when they are asked for, so that the file itself costs nothing.</summary>
    private sealed class RowStream(string head, int rows) : Stream
    {
        public const int RowBytes = 78;
        private readonly byte[] _head = Encoding.ASCII.GetBytes(head);
        private readonly byte[] _row = new byte[RowBytes];
        private int _made = -1;
        private long _at;

        public override bool CanRead => true;

        public override bool CanSeek => true;

        public override bool CanWrite => false;

        public override long Length => _head.Length + ((long)rows * RowBytes);

        public override long Position { get => _at; set => _at = value; }

        public override int Read(byte[] buffer, int offset, int count) => Read(buffer.AsSpan(offset, count));

        public override int Read(Span<byte> buffer)
        {
            int n = 0;
            while (n < buffer.Length && _at < Length)
            {
                ReadOnlySpan<byte> from = _at < _head.Length ? _head.AsSpan((int)_at) : Row((int)((_at - _head.Length) / RowBytes)).AsSpan((int)((_at - _head.Length) % RowBytes));
                int take = Math.Min(from.Length, buffer.Length - n);
                from[..take].CopyTo(buffer[n..]);
                n += take;
                _at += take;
            }

            return n;
        }

        // Digits put into a template: nothing is allocated that would be counted with the reader's.
        private byte[] Row(int i)
        {
            if (i != _made)
            {
                _made = i;
                "0000000,0.000000,0.000000,9.000000,0.010000,0.020000,0.030000,4.000000,150,48.1            "u8[..(RowBytes - 1)].CopyTo(_row);
                _row[^1] = (byte)'\n';
                Digits(0, 7, i * 10);
                foreach (int at in (ReadOnlySpan<int>)[10, 19, 28, 39, 48, 57, 64])
                {
                    Digits(at, 3, i % 1000);
                }
            }

            return _row;
        }

        private void Digits(int at, int count, int value)
        {
            for (int k = count - 1; k >= 0; k--, value /= 10)
            {
                _row[at + k] = (byte)('0' + (value % 10));
            }
        }

        public override long Seek(long offset, SeekOrigin origin) => _at = origin switch { SeekOrigin.Begin => offset, SeekOrigin.Current => _at + offset, _ => Length + offset };

        public override void Flush()
        {
        }

        public override void SetLength(long value) => throw new NotSupportedException();

        public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();
    }

    private const string Names = "time_ms,ax (m/s2),ay (m/s2),az (m/s2),gx (rad/s),gy (rad/s),gz (rad/s),speed (m/s),heartrate,battery\n";

    private static (long Bytes, long Samples) Cost(int rows)
    {
        using var file = new RowStream(Names, rows);
        long before = GC.GetAllocatedBytesForCurrentThread();
        var reading = FileDoor.Open(file, "log.csv");
        long bytes = GC.GetAllocatedBytesForCurrentThread() - before;
        var m = Assert.Single(reading.Value!.Motions);
        Assert.Equal(rows, m.Count);
        Assert.Equal(rows / 100.0 - 0.01, m.Seconds[^1], 1e-9);
        Assert.NotNull(m.RotationZ);
        return (bytes, 9L * 8 * rows);
    }

    [Fact]
    public void Ninety_minutes_at_100_hertz_in_nine_columns_cost_their_samples_and_a_constant()
    {
        Cost(54_000); // what is made once for all files
        var fifth = Cost(108_000);
        var whole = Cost(540_000);
        Assert.InRange(fifth.Bytes - fifth.Samples, 0, 2 << 20);
        Assert.InRange(whole.Bytes - whole.Samples, 0, 2 << 20);
        Assert.InRange(Math.Abs(whole.Bytes - whole.Samples - (fifth.Bytes - fifth.Samples)), 0, 1 << 17); // the constant is one: it does not grow with the log
    }
}
