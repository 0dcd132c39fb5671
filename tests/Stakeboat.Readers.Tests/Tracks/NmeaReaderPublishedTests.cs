using System.Text;
using Stakeboat.Readers.Tracks;

namespace Stakeboat.Readers.Tests.Tracks;

/// <summary>Sentences as descriptions of NMEA 0183 print them (from memory), their checksums computed again; the last is gpsbabel's own.</summary>
public class NmeaReaderPublishedTests
{
    [Theory]
    [InlineData("$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47", true)]
    [InlineData("$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A", true)]
    [InlineData("$GPVTG,054.7,T,034.4,M,005.5,N,010.2,K*48", true)]
    [InlineData("$GPRMC,100001.000,V,5128.203,N,00013.199,W,0.00,0.00,040426,,*0E", true)]
    [InlineData("$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*48", false)]
    public void Checksums(string sentence, bool good) => Assert.Equal(good, NmeaReader.Checksum(sentence, out _));

    private static Reading<TrackFile> Read(string text, int rollOvers = 0) => NmeaReader.Read(new MemoryStream(Encoding.ASCII.GetBytes(text)), "a.nmea", rollOvers);

    [Fact]
    public void Position_speed_height_and_hdop_of_one_moment_are_one_fix()
    {
        var reading = Read("$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A\r\n$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47\r\n");
        var f = Assert.Single(reading.Value!.Tracks[0].Fixes);
        Assert.Equal(48.1173, f.LatitudeDegrees, 9);
        Assert.Equal(11.516666667, f.LongitudeDegrees, 9);
        Assert.Equal(11.523556, f.SpeedMps!.Value, 6);
        Assert.Equal(84.4, f.CourseDegrees);
        Assert.Equal(545.4, f.AltitudeMetres);
        Assert.Equal(0.9, f.HorizontalDilution);
    }

    [Fact]
    public void A_week_roll_over_is_offered_and_never_silently_repaired()
    {
        const string Old = "$GPRMC,100000.000,A,5128.203,N,00013.199,W,0.00,0.00,190806,,*00\r\n";
        string text = Fixed(Old.Replace("190806", "190803", StringComparison.Ordinal));
        var reading = Read(text);
        double t = reading.Value!.Tracks[0].Fixes[0].Time!.Value.Seconds;
        Assert.Equal(1061287200, t); // 2003-08-19T10:00:00Z as written
        Assert.Contains(reading.Issues, i => i.What.Contains("rolled over", StringComparison.Ordinal) && i.Done.Contains("2023-04-04", StringComparison.Ordinal));
        Assert.Equal(619315200, Read(text, 1).Value!.Tracks[0].Fixes[0].Time!.Value.Seconds - t);
        Assert.Equal(619315200, NmeaReader.RollOver);
    }

    [Fact]
    public void Invalid_positions_among_valid_ones_are_left_out()
    {
        string text = Fixed("$GPRMC,100000.000,A,5128.203,N,00013.199,W,1.00,0.00,040426,,*00\n") + Fixed("$GPRMC,100001.000,V,5128.203,N,00013.199,W,1.00,0.00,040426,,*00\n");
        var reading = Read(text);
        Assert.Single(reading.Value!.Tracks[0].Fixes);
        Assert.Contains(reading.Issues, i => i.Place == "line 2" && i.What.Contains("not valid", StringComparison.Ordinal));
    }

    [Fact]
    public void A_date_is_carried_over_midnight()
    {
        string text = Fixed("$GPRMC,235959.000,A,5128.203,N,00013.199,W,1.00,0.00,040426,,*00\n") + Fixed("$GPGGA,000000.000,5128.204,N,00013.199,W,1,08,0.9,5.4,M,46.9,M,,*00\n");
        var f = Read(text).Value!.Tracks[0].Fixes;
        Assert.Equal(1, f[1].Time!.Value.Seconds - f[0].Time!.Value.Seconds);
    }

    [Fact]
    public void A_sentence_with_a_wrong_checksum_is_left_out()
    {
        var reading = Read(Fixed("$GPRMC,100000.000,A,5128.203,N,00013.199,W,1.00,0.00,040426,,*00\n") + "$GPRMC,100001.000,A,5128.203,N,00013.199,W,1.00,0.00,040426,,*00\n");
        Assert.Single(reading.Value!.Tracks[0].Fixes);
        Assert.Contains(reading.Issues, i => i.What.Contains("checksum is wrong", StringComparison.Ordinal));
    }

    private static string Fixed(string sentence)
    {
        string body = sentence[1..sentence.IndexOf('*', StringComparison.Ordinal)];
        return $"${body}*{body.Aggregate(0, (x, c) => x ^ c):X2}\n";
    }
}
