using System.Text;
using Stakeboat.Core.Boats;
using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Sheets;

namespace Stakeboat.Readers.Tests.Sheets;

public class SheetsSyntheticTests
{
    private static Reading<FileContents> Door(string text) => FileDoor.Open(new MemoryStream(Encoding.UTF8.GetBytes(text)), "x");

    [Theory]
    [InlineData("three-quarters of a length", 0.75)]
    [InlineData("three quarters of a length", 0.75)]
    [InlineData("3/4 length", 0.75)]
    [InlineData("¾ l", 0.75)]
    [InlineData("half a length", 0.5)]
    [InlineData("a length", 1)]
    [InlineData("1 length", 1)]
    [InlineData("1 1/4 l", 1.25)]
    [InlineData("1¼ lengths", 1.25)]
    [InlineData("one and a half lengths", 1.5)]
    [InlineData("two lengths", 2)]
    [InlineData("a third of a length", 1 / 3.0)]
    [InlineData("canvas", 0.25)]
    [InlineData("dead heat", 0)]
    [InlineData("2.5 lengths", 2.5)]
    public void Verdicts_in_lengths(string text, double lengths)
    {
        Assert.True(Verdicts.TryRead(text, out var v));
        Assert.Equal(lengths, v.Lengths!.Value, 9);
        Assert.Equal(lengths * 17.6, v.MetresOf(BoatClass.Eight.Geometry)!.Value, 9);
    }

    [Theory]
    [InlineData("2 ft", 0.6096)]
    [InlineData("three feet", 0.9144)]
    [InlineData("1.5 m", 1.5)]
    public void Verdicts_in_metres(string text, double metres)
    {
        Assert.True(Verdicts.TryRead(text, out var v));
        Assert.Equal(metres, v.Metres!.Value, 9);
    }

    [Theory]
    [InlineData("easily", true)]
    [InlineData("not rowed out", true)]
    [InlineData("Old Quay", false)]
    [InlineData("length", false)]
    [InlineData("", false)]
    public void Verdicts_without_a_size(string text, bool verdict)
    {
        Assert.Equal(verdict, Verdicts.TryRead(text, out var v));
        Assert.Null(v.Lengths);
        Assert.Equal(verdict, v.OpenEnded);
    }

    public static TheoryData<string, string> Pasted => new()
    {
        { "CSV with names", "Place,Lane,Crew,500 m,1000 m,1500 m,2000 m\n1,4,Kestrel Point,1:33.41,3:05.50,4:38.82,6:11.37\n2,3,Larkmoor,1:33.70,3:05.98,4:40.21,6:13.02\n" },
        { "seconds", "Place;Lane;Crew;500m;1000m;1500m;2000m\n1;4;Kestrel Point;93.41;185.5;278.82;371.37\n2;3;Larkmoor;93.70;185.98;280.21;373.02\n" },
        { "pasted with tabs", "Place\tLane\tCrew\t500\t1000\t1500\t2000\n1\t4\tKestrel Point\t1:33.41\t3:05.50\t4:38.82\t6:11.37\n2\t3\tLarkmoor\t1:33.70\t3:05.98\t4:40.21\t6:13.02\n" },
        { "pasted without names", "Men's eights 2000 m\n1  4  Kestrel Point  1:33.41  3:05.50  4:38.82  6:11.37\n2  3  Larkmoor  1:33.70  3:05.98  4:40.21  6:13.02\n" },
        { "single spaces", "1. 4 Kestrel Point 1:33.41 3:05.50 4:38.82 6:11.37\n2. 3 Larkmoor 1:33.70 3:05.98 4:40.21 6:13.02\n" },
    };

    [Theory]
    [MemberData(nameof(Pasted))]
    public void Sheets_as_they_are_pasted(string way, string text)
    {
        Assert.NotEmpty(way);
        var reading = Door(text);
        var r = reading.Value!.Result!;
        Assert.Equal(["Kestrel Point", "Larkmoor"], r.Rows.Select(x => x.Crew));
        Assert.Equal([1, 2], r.Rows.Select(x => x.Place!.Value));
        Assert.Equal([4, 3], r.Rows.Select(x => x.Lane!.Value));
        Assert.Equal([500, 1000, 1500, 2000], r.Rows[0].Times.Select(t => t.Mark.Metres));
        Assert.Equal([93.41, 185.5, 278.82, 371.37], r.Rows[0].Times.Select(t => Math.Round(t.Time.Seconds, 6)));
    }

    [Fact]
    public void A_sheet_of_verdicts()
    {
        var r = Door("Place,Crew,Time,Verdict\n1,Old Quay,7:01.2,\n2,Corbel,,three-quarters of a length\n3,Ninefold,,easily\n").Value!.Result!;
        Assert.Equal([null, "three-quarters of a length", "easily"], r.Rows.Select(x => x.Verdict));
        Assert.Equal(421.2, r.Rows[0].Times[0].Time.Seconds, 6);
    }

    [Fact]
    public void Sense_is_checked()
    {
        var reading = Door("Place,Lane,Crew,1000 m,2000 m\n1,3,Old Quay,3:10.0,6:30.0\n2,3,Corbel,3:20.0,6:20.0\n3,5,Ninefold,3:30.0,3:20.0\n4,6,Saltern,1:00.0,6:50.0\n");
        Assert.Contains(reading.Issues, i => i.What.Contains("with the better time", StringComparison.Ordinal));
        Assert.Contains(reading.Issues, i => i.What.Contains("Lane 3 stands with", StringComparison.Ordinal));
        Assert.Contains(reading.Issues, i => i.What.Contains("is not after", StringComparison.Ordinal));
        Assert.Contains(reading.Issues, i => i.What.Contains("m/s", StringComparison.Ordinal));
    }

    [Fact]
    public void A_race_sheet_may_lack_anything()
    {
        var s = RaceSheetReader.Read(new MemoryStream("{}"u8.ToArray()), "race.json").Value!;
        Assert.Equal("our boat", s.Us.Name);
        Assert.Same(BoatClass.Eight, s.Us.Boat);
        Assert.Null(s.Distance);
        Assert.Null(s.GoAt);
        Assert.Equal(13.5, s.LaneWidth.Metres);
    }

    [Fact]
    public void A_race_sheet_is_read_whole()
    {
        var s = RaceSheetReader.Read(new MemoryStream(Encoding.UTF8.GetBytes("""
            {"boat":"4+","distance":2000,"us":"Wickham Staithe","lanes":[{"lane":1,"crew":"Old Quay"},{"lane":3,"crew":"Wickham Staithe"}],"crews":["Corbel"],"goAt":"1:02.5",
             "geometry":{"length":13.1,"bowSeat":5.4,"seatSpacing":1.4,"cox":3.0,"seats":4},"laneWidth":10,
             "crewWords":{"names":["Annis"],"words":["anvil = ten for legs","lighthouse"]},"bySeat":{"1":"Annis","9":"Nobody"}}
            """)), "race.json").Value!;
        Assert.Same(BoatClass.FourBowCoxed, s.Us.Boat);
        Assert.True(s.Hull.CoxInBow);
        Assert.Equal(62.5, s.GoAt!.Value.Seconds);
        Assert.Equal(3, s.OurLane);
        Assert.Equal(["Old Quay", "Corbel"], s.Rivals);
        Assert.Equal(("anvil", "ten for legs"), (s.Us.Words[0].Word, s.Us.Words[0].Meaning));
        Assert.Equal("", s.Us.Words[1].Meaning);
        Assert.Equal("Annis", s.Us.BySeat[1].Name);
    }

    [Fact]
    public void Geojson_lines_marks_and_buoys()
    {
        var f = Door("""
            {"type":"FeatureCollection","features":[
             {"type":"Feature","properties":{"name":"start"},"geometry":{"type":"Point","coordinates":[-86.4,48.2]}},
             {"type":"Feature","properties":{"name":"centre"},"geometry":{"type":"LineString","coordinates":[[-86.4,48.2],[-86.41,48.21]]}},
             {"type":"Feature","properties":{},"geometry":{"type":"Polygon","coordinates":[[[0,1],[1,1],[1,2],[0,1]]]}},
             {"type":"Feature","properties":{},"geometry":{"type":"Point","coordinates":["x",2]}}]}
            """);
        Assert.Equal("start", Assert.Single(f.Value!.Places).Name);
        Assert.Equal(["centre", ""], f.Value.Lines.Select(l => l.Name));
        Assert.True(f.Value.Lines[1].Closed);
        Assert.Contains(f.Issues, i => i.What.Contains("no pair of numbers", StringComparison.Ordinal));
    }
}
