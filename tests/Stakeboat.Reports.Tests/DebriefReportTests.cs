using System.IO.Compression;
using System.Text;
using System.Text.Json;
using System.Text.RegularExpressions;
using Stakeboat.Core.Debrief;
using Stakeboat.Core.Measurement;
using Stakeboat.Exchange.Debriefs;
using Stakeboat.Readers;
using Stakeboat.Reports.Debriefs;
using UglyToad.PdfPig;

namespace Stakeboat.Reports.Tests;

/// <summary>Two labelled races, with a track and without, debriefed once for all cases.</summary>
public sealed class ReportRaces
{
    public ReportRaces()
    {
        WithTrack = Made("spring-canal-8w");
        Without = Made("estuary-4");
    }

    public DebriefDocument WithTrack { get; }

    public DebriefDocument Without { get; }

    public DebriefDocument this[bool track] => track ? WithTrack : Without;

    private static DebriefDocument Made(string folder)
    {
        string? at = AppContext.BaseDirectory;
        while (at is not null && !File.Exists(Path.Combine(at, "Stakeboat.slnx")))
        {
            at = Path.GetDirectoryName(at);
        }

        string place = Path.Combine(at!, "data/corpus", folder);
        var files = Directory.EnumerateFiles(place).Where(f => Path.GetFileName(f) is not ("truth.json" or "calls.jsonl")).Order(StringComparer.Ordinal);
        var outing = OutingFolder.Read(folder, [.. files.Select(f => new OutingFile(Path.GetFileName(f), () => File.OpenRead(f)))]).Value!;
        return DebriefWriter.Write(RaceDebrief.Make(new DebriefInput(outing with { Name = "<b>Ävening & \"race\"</b>" })), [], "test");
    }
}

public sealed partial class DebriefReportTests(ReportRaces races) : IClassFixture<ReportRaces>
{
    [GeneratedRegex("""(?:src|href|xlink:href|action|poster|data|srcset)\s*=\s*["'](?<link>[^"']*)["']""", RegexOptions.IgnoreCase)]
    private static partial Regex Links();

    [GeneratedRegex(@"url\((?<sheet>[^)]*)\)|@import", RegexOptions.IgnoreCase)]
    private static partial Regex Sheets();

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void ThePdfHasTwoPages_PicturesFirst_AndItsTextIsText(bool track)
    {
        var d = races[track];
        using var pdf = PdfDocument.Open(DebriefReport.Write(d));
        Assert.Equal(2, pdf.NumberOfPages);
        Assert.All(pdf.GetPages(), p => Assert.Equal(297.0 / 210, p.Height / p.Width, 0.01));
        string first = string.Concat(pdf.GetPage(1).GetWords().Select(w => w.Text + " "));
        string all = first + string.Concat(pdf.GetPage(2).GetWords().Select(w => w.Text + " "));
        Assert.Contains("Ävening", first);
        Assert.Contains(d.Findings[0].Sentence.Split(' ')[0], all);
        // Pictures are lines, not text: the first page is full of them.
        int strokes = pdf.GetPage(1).Paths.Sum(p => p.Sum(sub => sub.Commands.Count));
        Assert.True(strokes > 100, $"only {strokes} pieces of line are drawn");
        Assert.All(pdf.GetPages().SelectMany(p => p.Letters), l => Assert.Contains("Atkinson", l.FontName));
        // Nothing runs over the edge.
        Assert.All(pdf.GetPages(), p => Assert.All(p.Letters, l => Assert.InRange(l.BoundingBox.Right, 0, p.Width)));
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void ThePageIsOneFile_ForAPhone(bool track)
    {
        var d = races[track];
        string html = DebriefHtml.Write(d);
        Assert.All(Links().Matches(html).Select(m => m.Groups[1].Value), v => Assert.True(v.StartsWith('#') || v.StartsWith("data:", StringComparison.Ordinal), v));
        Assert.All(Sheets().Matches(html).Select(m => m.Groups[1].Value.Trim('"', '\'')), v => Assert.StartsWith("data:", v));
        Assert.DoesNotContain("http://", html.Replace("http://www.w3.org/", "", StringComparison.Ordinal));
        Assert.DoesNotContain("https://", html);
        Assert.Contains("name=\"viewport\"", html);
        Assert.Contains("<svg", html);
        Assert.Contains("prefers-color-scheme", html);
        // The name is text, whatever it holds.
        Assert.DoesNotContain("<b>Ävening", html);
        Assert.Contains("&lt;b&gt;", html);
        string text = System.Net.WebUtility.HtmlDecode(html);
        Assert.All(d.Findings.Take(3), f => Assert.Contains(f.Sentence, text));
        Assert.InRange(Encoding.UTF8.GetByteCount(html), 5_000, 2_000_000);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void EveryTableIsEvenAndInPlainNumbers(bool track)
    {
        var tables = DebriefTables.All(races[track]);
        Assert.Contains(tables, t => t.Name == "calls");
        Assert.Contains(tables, t => t.Name == "margins");
        Assert.Contains(tables, t => t.Name == "findings");
        foreach (var t in tables)
        {
            var rows = Rows(t.ToCsv());
            Assert.True(rows.Count > 1, t.Name);
            Assert.All(rows, r => Assert.Equal(rows[0].Count, r.Count));
            Assert.Equal(rows[0].Count, rows[0].Distinct().Count());
            // A decimal point, never a comma: no field that is a number holds one.
            Assert.All(rows.Skip(1).SelectMany(r => r), v => Assert.DoesNotMatch(@"^-?\d+,\d+$", v));
        }

        using var zip = new ZipArchive(new MemoryStream(DebriefTables.Zip(races[track])));
        Assert.Equal(tables.Select(t => t.Name + ".csv").Order(StringComparer.Ordinal), zip.Entries.Select(e => e.FullName).Order(StringComparer.Ordinal));
    }

    [Fact]
    public void TheMarginsTableIsTheMarginsOfTheDocument()
    {
        var d = races.WithTrack;
        var rows = Rows(DebriefTables.All(d).Single(t => t.Name == "margins").ToCsv());
        int crew = rows[0].IndexOf("crew"), metres = rows[0].IndexOf("metres"), t = rows[0].IndexOf("t");
        Assert.Equal(d.Margins.Sum(m => m.Metres.Count), rows.Count - 1);
        var first = d.Margins[0];
        var row = rows.Skip(1).First(r => r[crew] == first.Crew);
        Assert.Equal(first.T0, double.Parse(row[t], System.Globalization.CultureInfo.InvariantCulture), 2);
        Assert.Equal(first.Metres[0], double.Parse(row[metres], System.Globalization.CultureInfo.InvariantCulture), 2);
    }

    [Fact]
    public void TheLineIsGeoJsonWhereATrackWas_AndNothingElsewhere()
    {
        Assert.Null(LineGeoJson.Write(races.Without));
        using var json = JsonDocument.Parse(LineGeoJson.Write(races.WithTrack)!);
        Assert.Equal("FeatureCollection", json.RootElement.GetProperty("type").GetString());
        var line = json.RootElement.GetProperty("features").EnumerateArray().Select(f => f.GetProperty("geometry")).First(g => g.GetProperty("type").GetString() == "LineString");
        var points = line.GetProperty("coordinates").EnumerateArray().Select(p => (Longitude: p[0].GetDouble(), Latitude: p[1].GetDouble())).ToList();
        Assert.Equal(races.WithTrack.Line!.T.Count, points.Count);
        for (int i = 0; i < points.Count; i += 25)
        {
            Assert.Equal(races.WithTrack.Line.Latitude[i], points[i].Latitude, 6);
            Assert.Equal(races.WithTrack.Line.Longitude[i], points[i].Longitude, 6);
        }
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void CallsAsChaptersAreReadBackAsCaptionsInOrder(bool track)
    {
        string vtt = CallChapters.Write(races[track]);
        Assert.StartsWith("WEBVTT", vtt);
        var track2 = FileDoor.Open(new MemoryStream(Encoding.UTF8.GetBytes(vtt)), "calls.vtt").Value!.Captions!;
        Assert.Equal(races[track].Called!.Calls.Count(c => c.Type is not ("spirit" or "count")), track2.Cues.Count);
        Assert.All(track2.Cues.Zip(track2.Cues.Skip(1)), p => Assert.True(p.First.Start.Seconds <= p.Second.Start.Seconds && p.First.End.Seconds <= p.Second.Start.Seconds + 0.102));
        Assert.All(track2.Cues, c => Assert.False(string.IsNullOrWhiteSpace(c.Text)));
    }

    /// <summary>Comma-separated text by RFC 4180.</summary>
    private static List<List<string>> Rows(string csv)
    {
        var rows = new List<List<string>>();
        var row = new List<string>();
        var field = new StringBuilder();
        bool quoted = false;
        for (int i = 0; i < csv.Length; i++)
        {
            char c = csv[i];
            if (quoted)
            {
                if (c == '"' && i + 1 < csv.Length && csv[i + 1] == '"')
                {
                    field.Append('"');
                    i++;
                }
                else if (c == '"')
                {
                    quoted = false;
                }
                else
                {
                    field.Append(c);
                }
            }
            else if (c == '"')
            {
                quoted = true;
            }
            else if (c is ',' or '\n')
            {
                row.Add(field.ToString());
                field.Clear();
                if (c == '\n')
                {
                    rows.Add(row);
                    row = [];
                }
            }
            else if (c != '\r')
            {
                field.Append(c);
            }
        }

        if (field.Length > 0 || row.Count > 0)
        {
            row.Add(field.ToString());
            rows.Add(row);
        }

        return rows;
    }
}
