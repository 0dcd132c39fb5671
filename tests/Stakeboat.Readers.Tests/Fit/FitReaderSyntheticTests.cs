using System.Buffers.Binary;
using System.Text;
using Stakeboat.Readers.Fit;

namespace Stakeboat.Readers.Tests.Fit;

/// <summary>Hand-made files after the public description of the protocol; check values computed by a second implementation in Python.</summary>
public class FitReaderSyntheticTests
{
    private const uint At10 = 1144231200; // 2026-04-04T10:00:00Z

    private static byte[] File(byte[] data, int head = 14, bool headCrc = true, ushort? crc = null)
    {
        var f = new byte[head + data.Length + 2];
        f[0] = (byte)head;
        f[1] = 0x20;
        BinaryPrimitives.WriteUInt32LittleEndian(f.AsSpan(4), (uint)data.Length);
        ".FIT"u8.CopyTo(f.AsSpan(8));
        if (head >= 14 && headCrc)
        {
            BinaryPrimitives.WriteUInt16LittleEndian(f.AsSpan(12), FitCrc.Of(f.AsSpan(0, 12)));
        }

        data.CopyTo(f, head);
        BinaryPrimitives.WriteUInt16LittleEndian(f.AsSpan(f.Length - 2), crc ?? FitCrc.Of(f.AsSpan(0, f.Length - 2)));
        return f;
    }

    // Record of time, latitude, longitude, heart rate.
    private static byte[] Definition(bool big = false, byte arch = 0, bool time = true, byte header = 0x40) =>
    [
        header, 0, big ? (byte)1 : arch, .. big ? (byte[])[0, 20] : [20, 0], (byte)(time ? 4 : 3), .. time ? (byte[])[253, 4, 0x86] : [], 0, 4, 0x85, 1, 4, 0x85, 3, 1, 2,
    ];

    private static byte[] Record(uint? time, byte heart = 150, bool big = false, byte header = 0)
    {
        var b = new List<byte> { header };
        foreach (uint v in (uint[])[.. time is { } t ? (uint[])[t] : [], 614061019, unchecked((uint)-2624702)])
        {
            var four = BitConverter.GetBytes(v);
            b.AddRange(big ? four.Reverse() : four);
        }

        b.Add(heart);
        return [.. b];
    }

    private static Reading<Readers.Tracks.TrackFile> Read(byte[] f) => FitReader.Read(new MemoryStream(f), "a.fit");

    private static double[] Times(byte[] f) => [.. Read(f).Value!.Tracks[0].Fixes.Select(x => x.Time!.Value.Seconds - FitReader.Epoch - At10)];

    [Fact]
    public void Crc_of_the_digits_one_to_nine_is_BB3D_and_of_a_whole_file_zero()
    {
        Assert.Equal(0xBB3D, FitCrc.Of("123456789"u8));
        Assert.Equal(0, FitCrc.Of(File([.. Definition(), .. Record(At10)])));
    }

    [Theory]
    [InlineData(12)]
    [InlineData(14)]
    public void Both_heads_are_read(int head)
    {
        var reading = Read(File([.. Definition(), .. Record(At10)], head));
        var fix = Assert.Single(reading.Value!.Tracks[0].Fixes);
        Assert.Equal(51.47, fix.LatitudeDegrees, 180 / 2147483648.0);
        Assert.Equal(-0.22, fix.LongitudeDegrees, 180 / 2147483648.0);
        Assert.Equal(1775296800, fix.Time!.Value.Seconds);
        Assert.Equal(150, fix.HeartRate);
        Assert.Empty(reading.Issues);
    }

    [Fact]
    public void A_head_checksum_of_zero_means_none() => Assert.Empty(Read(File([.. Definition(), .. Record(At10)], headCrc: false)).Issues);

    [Fact]
    public void High_bytes_first_are_read()
    {
        var fix = Read(File([.. Definition(big: true), .. Record(At10, big: true)])).Value!.Tracks[0].Fixes[0];
        Assert.Equal(51.47, fix.LatitudeDegrees, 180 / 2147483648.0);
        Assert.Equal(1775296800, fix.Time!.Value.Seconds);
    }

    [Fact]
    public void A_bad_byte_order_with_a_bad_checksum_warns_and_reads()
    {
        var reading = Read(File([.. Definition(arch: 2), .. Record(At10)], crc: 0x1234));
        Assert.Single(reading.Value!.Tracks[0].Fixes);
        Assert.Contains(reading.Issues, i => i.Severity == Severity.Warning && i.What.Contains("byte order", StringComparison.Ordinal));
        Assert.Contains(reading.Issues, i => i.Severity == Severity.Warning && i.What.Contains("checksum of the file", StringComparison.Ordinal));
    }

    [Fact]
    public void Compressed_times_roll_over_their_five_bits()
    {
        // Previous ...3B, then offsets 1D, 02, 05, 05, 01 -> 3D, 42, 45, 45, 61 (worked by hand from the description). Equal times are one fix.
        uint start = (At10 & ~63u) | 0x3B;
        byte[] data = [.. Definition(), .. Record(start), .. Definition(time: false, header: 0x41)];
        foreach (byte offset in (byte[])[0x1D, 0x02, 0x05, 0x05, 0x01])
        {
            data = [.. data, .. Record(null, header: (byte)(0x80 | (1 << 5) | offset))];
        }

        double zero = (double)(At10 & ~63u) - At10;
        Assert.Equal([0x3B, 0x3D, 0x42, 0x45, 0x61], Times(File(data)).Select(t => t - zero));
    }

    [Fact]
    public void Invalid_values_are_missing_and_unknown_messages_passed_over_by_size()
    {
        byte[] strange = [0x42, 0, 0, 0x39, 0x30, 2, 7, 3, 0x0D, 8, 5, 0x99, /* message: */ 2, 1, 2, 3, 4, 5, 6, 7, 8];
        var reading = Read(File([.. strange, .. Definition(), .. Record(At10, heart: 0xFF)]));
        Assert.Null(Assert.Single(reading.Value!.Tracks[0].Fixes).HeartRate);
    }

    [Fact]
    public void Developer_fields_are_read_by_their_own_description()
    {
        byte[] name = new byte[12];
        Encoding.UTF8.GetBytes("Stroke Rate").CopyTo(name, 0);
        byte[] described = [0x43, 0, 0, 206, 0, 4, 0, 1, 2, 1, 1, 2, 2, 1, 2, 3, 12, 7, /* message: */ 3, 0, 5, 2, .. name];
        var definition = Definition(header: 0x60);
        byte[] withOwn = [.. definition, 1, 5, 1, 0];
        var reading = Read(File([.. described, .. withOwn, .. Record(At10), 34]));
        Assert.Equal(34, Assert.Single(reading.Value!.Tracks[0].Fixes).Cadence);
        Assert.Contains(reading.Issues, i => i.What.Contains("Stroke Rate", StringComparison.Ordinal));
    }

    [Fact]
    public void Chained_files_are_read_as_segments()
    {
        byte[] one = File([.. Definition(), .. Record(At10)]), two = File([.. Definition(), .. Record(At10 + 60)], 12);
        var fixes = Read([.. one, .. two]).Value!.Tracks[0].Fixes;
        Assert.Equal([0, 1], fixes.Select(f => f.Segment));
    }

    [Fact]
    public void A_recording_that_was_never_closed_is_read()
    {
        byte[] f = File([.. Definition(), .. Record(At10), .. Record(At10 + 1)]);
        BinaryPrimitives.WriteUInt32LittleEndian(f.AsSpan(4), 0);
        var reading = Read(f);
        Assert.Equal(2, reading.Value!.Tracks[0].Fixes.Count);
        Assert.Contains(reading.Issues, i => i.What.Contains("never closed", StringComparison.Ordinal));
    }

    [Fact]
    public void A_cut_off_message_keeps_what_stands_before()
    {
        byte[] f = File([.. Definition(), .. Record(At10), .. Record(At10 + 1)]);
        var reading = Read(f[..^6]);
        Assert.Single(reading.Value!.Tracks[0].Fixes);
        Assert.Contains(reading.Issues, i => i.Severity == Severity.Error && i.Place.StartsWith("byte", StringComparison.Ordinal));
    }

    [Fact]
    public void Times_before_the_first_date_count_from_power_on()
    {
        var reading = Read(File([.. Definition(), .. Record(5000)]));
        Assert.Contains(reading.Issues, i => i.What.Contains("power-on", StringComparison.Ordinal));
    }

    [Fact]
    public void Laps_sessions_and_accelerometer_batches_are_read()
    {
        byte[] lap = [0x44, 0, 0, 19, 0, 3, 2, 4, 0x86, 8, 4, 0x86, 9, 4, 0x86, 4, .. BitConverter.GetBytes(At10), .. BitConverter.GetBytes(90_000u), .. BitConverter.GetBytes(50_000u)];
        byte[] batch =
        [
            0x45, 0, 0, 165, 0, 6, 253, 4, 0x86, 0, 2, 0x84, 1, 4, 0x84, 5, 8, 0x88, 6, 8, 0x88, 7, 8, 0x88,
            5, .. BitConverter.GetBytes(At10), .. BitConverter.GetBytes((ushort)500), .. BitConverter.GetBytes((ushort)0), .. BitConverter.GetBytes((ushort)20),
            .. BitConverter.GetBytes(0.5f), .. BitConverter.GetBytes(0.25f), .. BitConverter.GetBytes(0f), .. BitConverter.GetBytes(0f), .. BitConverter.GetBytes(1f), .. BitConverter.GetBytes(-1f),
        ];
        byte[] session = [.. lap];
        session[3] = 18;
        var f = Read(File([.. lap, .. session, .. batch])).Value!;
        Assert.Equal(new Readers.Tracks.Lap(1775296800, 90, 500), Assert.Single(f.Sessions));
        Assert.Equal(new Readers.Tracks.Lap(1775296800, 90, 500), Assert.Single(f.Laps));
        var m = Assert.Single(f.Motions);
        Assert.Equal([1775296800.5, 1775296800.52], m.Seconds);
        Assert.Equal([0.5 * 9.80665, 0.25 * 9.80665], m.AccelerationX);
        Assert.Equal([9.80665, -9.80665], m.AccelerationZ);
    }
}
