using System.Text.Json;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Readers.Tests.Tracks;

/// <summary>Against gpsbabel 1.8.0: oracles/readers/tracks.py wrote the files and what gpsbabel reads in them.</summary>
public class TracksDifferentialTests
{
    private static readonly JsonElement s_oracle = JsonDocument.Parse(File.ReadAllBytes(Repo.Oracle("tracks.json"))).RootElement;

    public static TheoryData<string> Read => [.. s_oracle.GetProperty("read").EnumerateObject().Select(p => p.Name)];

    public static TheoryData<string> Ours => [.. s_oracle.GetProperty("ours").EnumerateObject().Select(p => p.Name)];

    private static IReadOnlyList<Fix> Fixes(string file)
    {
        using var s = File.OpenRead(Repo.Oracle("tracks/" + file));
        return FileDoor.Open(s, file).Value!.Tracks.SelectMany(t => t.Fixes).ToList();
    }

    [Theory]
    [MemberData(nameof(Read))]
    public void Files_of_gpsbabel_are_read_to_the_same_fixes(string file) => Same(Fixes(file), s_oracle.GetProperty("read").GetProperty(file), sensors: true);

    [Theory]
    [MemberData(nameof(Ours))]
    public void Gpsbabel_reads_what_we_convert(string file)
    {
        var o = s_oracle.GetProperty("ours").GetProperty(file);
        Same(Fixes(o.GetProperty("from").GetString()!), o.GetProperty("fixes"), sensors: false);
    }

    // What gpsbabel read is what the writers still write.
    [Theory]
    [MemberData(nameof(Ours))]
    public void The_converted_files_are_written_byte_for_byte_as_gpsbabel_read_them(string file)
    {
        string from = s_oracle.GetProperty("ours").GetProperty(file).GetProperty("from").GetString()!;
        using var s = File.OpenRead(Repo.Oracle("tracks/" + from));
        var c = FileDoor.Open(s, from).Value!;
        using var m = new MemoryStream();
        if (file.EndsWith(".gpx", StringComparison.Ordinal))
        {
            Stakeboat.Exchange.Tracks.TrackWriter.Gpx(m, c.Tracks, c.Places, c.Lines);
        }
        else if (file.EndsWith(".csv", StringComparison.Ordinal))
        {
            Stakeboat.Exchange.Tracks.TrackWriter.Csv(m, c.Tracks);
        }
        else
        {
            Stakeboat.Exchange.Tracks.TrackWriter.GeoJson(m, c.Tracks, c.Places, c.Lines);
        }

        Assert.Equal(File.ReadAllBytes(Repo.Oracle("tracks/" + file)), m.ToArray());
    }

    // What we write we read too, to the last fix and value that the format holds.
    [Theory]
    [MemberData(nameof(Ours))]
    public void The_converted_files_are_read_back_to_the_same_fixes(string file)
    {
        var from = Fixes(s_oracle.GetProperty("ours").GetProperty(file).GetProperty("from").GetString()!);
        if (file.EndsWith(".geojson", StringComparison.Ordinal))
        {
            using var s = File.OpenRead(Repo.Oracle("tracks/" + file));
            Assert.Equal(from.Select(f => (Math.Round(f.LatitudeDegrees, 9), Math.Round(f.LongitudeDegrees, 9))), FileDoor.Open(s, file).Value!.Lines.SelectMany(l => l.Points));
            return;
        }

        var back = Fixes(file);
        Assert.Equal(from.Count, back.Count);
        for (int i = 0; i < from.Count; i++)
        {
            Assert.Equal(from[i].Time!.Value.Seconds, back[i].Time!.Value.Seconds, 1e-6);
            Assert.Equal(from[i].LatitudeDegrees, back[i].LatitudeDegrees, 5.1e-10);
            Assert.Equal(from[i].LongitudeDegrees, back[i].LongitudeDegrees, 5.1e-10);
            Assert.Equal(from[i].AltitudeMetres is { } a ? Math.Round(a, 4) : null, back[i].AltitudeMetres);
            Assert.Equal(from[i].SpeedMps is { } v ? Math.Round(v, 4) : null, back[i].SpeedMps);
            Assert.Equal(from[i].CourseDegrees is { } d ? Math.Round(d, 3) : null, back[i].CourseDegrees);
            Assert.Equal(from[i].HorizontalDilution is { } h ? Math.Round(h, 3) : null, back[i].HorizontalDilution);
            Assert.Equal(from[i].HeartRate, back[i].HeartRate);
            Assert.Equal(from[i].Cadence, back[i].Cadence);
        }
    }

    [Fact]
    public void Nmea_that_gpsbabel_marks_invalid_is_within_its_own_quantisation()
    {
        var source = Fixes("source.gpx");
        var nmea = Fixes("babel.nmea");
        Assert.Equal(source.Count, nmea.Count);
        for (int i = 0; i < source.Count; i++)
        {
            // Three decimals of a minute: half a step is 0.0005/60 degrees.
            Assert.Equal(source[i].Time, nmea[i].Time);
            Assert.InRange(Math.Abs(source[i].LatitudeDegrees - nmea[i].LatitudeDegrees), 0, 0.00051 / 60);
            Assert.InRange(Math.Abs(source[i].LongitudeDegrees - nmea[i].LongitudeDegrees), 0, 0.00051 / 60);
        }
    }

    [Fact]
    public void A_fit_file_of_gpsbabel_keeps_the_fixes_of_its_source_to_a_semicircle()
    {
        var source = Fixes("source.gpx");
        var fit = Fixes("babel.fit");
        Assert.Equal(source.Count, fit.Count);
        for (int i = 0; i < source.Count; i++)
        {
            Assert.Equal(source[i].Time, fit[i].Time);
            Assert.InRange(Math.Abs(source[i].LatitudeDegrees - fit[i].LatitudeDegrees), 0, 180 / 2147483648.0);
            Assert.InRange(Math.Abs(source[i].LongitudeDegrees - fit[i].LongitudeDegrees), 0, 180 / 2147483648.0);
        }
    }

    private static void Same(IReadOnlyList<Fix> ours, JsonElement theirs, bool sensors)
    {
        Assert.Equal(theirs.GetArrayLength(), ours.Count);
        for (int i = 0; i < ours.Count; i++)
        {
            var r = theirs[i];
            if (r[0].ValueKind == JsonValueKind.Number)
            {
                Assert.Equal(r[0].GetDouble(), ours[i].Time!.Value.Seconds, 3);
            }

            Assert.Equal(r[1].GetDouble(), ours[i].LatitudeDegrees, 1.1e-9); // gpsbabel writes nine decimals
            Assert.Equal(r[2].GetDouble(), ours[i].LongitudeDegrees, 1.1e-9);
            if (sensors)
            {
                Near(r[3], ours[i].AltitudeMetres, 1e-3);
                Near(r[4], ours[i].HeartRate, 0.5);
                Near(r[5], ours[i].Cadence, 0.5);
            }
        }
    }

    private static void Near(JsonElement theirs, double? ours, double within)
    {
        if (theirs.ValueKind == JsonValueKind.Number)
        {
            Assert.NotNull(ours);
            Assert.Equal(theirs.GetDouble(), ours.Value, within);
        }
    }
}
