using System.Net;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json;
using System.Text.RegularExpressions;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Web.Tests;

/// <summary>What the boathouse knows feeds the debrief; seasons, comparisons, the next plan and backups, as the pages use them.</summary>
public abstract partial class BoathouseSuite(ServerFixture server)
{
    [GeneratedRegex("/boathouse/crew\\?id=([0-9a-f]{32})\"><b>([^<]*)<")]
    private static partial Regex CrewLink();

    [GeneratedRegex("name=\"id\" value=\"([0-9a-f]{32})\" />\\s*<label>Name <input name=\"name\" value=\"([^\"]*)\"")]
    private static partial Regex Kept();

    private static byte[] Captions(string words) => Encoding.UTF8.GetBytes(
        $"WEBVTT\n\n00:05.000 --> 00:07.000\nsit ready\n\n00:10.000 --> 00:12.000\nattention go\n\n00:40.000 --> 00:42.000\nwe are at thirty four\n\n01:20.000 --> 01:22.000\n{words}\n\n02:00.000 --> 02:02.000\nthrough the five hundred\n");

    private static async Task<string> HullAsync(PageClient page, string name, string spacing, string? id = null)
    {
        using var made = await page.FormAsync("/boathouse/hull", ("name", name), ("boat", "8+"), ("length", "17.2"), ("bowSeat", "4.1"), ("seatSpacing", spacing), ("cox", "15.1"), ("id", id ?? ""));
        Assert.Equal(HttpStatusCode.Redirect, made.StatusCode);
        return Kept().Matches(await page.Http.GetStringAsync("/boathouse")).Single(m => m.Groups[2].Value == name).Groups[1].Value;
    }

    private static async Task<string> CrewAsync(PageClient page, string name, string hull, string words, params (string, string)[] seats)
    {
        using var made = await page.FormAsync("/boathouse/crews", [("name", name), ("boat", "8+"), ("hull", hull), ("words", words), .. seats]);
        Assert.Equal(HttpStatusCode.Redirect, made.StatusCode);
        return CrewLink().Matches(await page.Http.GetStringAsync("/boathouse")).Single(m => m.Groups[2].Value.Contains(name, StringComparison.Ordinal)).Groups[1].Value;
    }

    private static async Task<string> BringAsync(PageClient page, string name, string? crew, string? course, params (string Name, byte[] Bytes)[] files)
    {
        using var begin = await page.SendAsync(HttpMethod.Post, "/imports", JsonContent.Create(new { name, key = PageClient.NewKey(), crew, course }));
        begin.EnsureSuccessStatusCode();
        string id = (await begin.Content.ReadFromJsonAsync<PageClient.Begun>())!.Id;
        foreach (var (file, bytes) in files)
        {
            await page.PutAsync(id, file, bytes);
        }

        await page.FinishAsync(id);
        using var state = await page.SettledAsync(id);
        Assert.Equal("done", state.RootElement.GetProperty("jobState").GetString());
        return id;
    }

    [Fact]
    public async Task CrewHullPeopleCourseAndWordsFeedTheDebrief()
    {
        var page = await server.PageAsync();
        string hull = await HullAsync(page, "Long Heron", "1.38");
        using (var person = await page.FormAsync("/boathouse/person", ("name", "Jory Vane"), ("mass", "54.5")))
        {
            Assert.Equal(HttpStatusCode.Redirect, person.StatusCode);
        }

        string jory = Kept().Matches(await page.Http.GetStringAsync("/boathouse")).Single(m => m.Groups[2].Value == "Jory Vane").Groups[1].Value;
        string crew = await CrewAsync(page, "Alder Reach", hull, "anvil = ten for legs", ("seat0", jory));
        using (var water = await page.FormAsync("/boathouse/course", ("name", "Mill Water"), ("length", "1650"), ("laneWidth", "12"), ("marks", "750 boathouse")))
        {
            Assert.Equal(HttpStatusCode.Redirect, water.StatusCode);
        }

        string course = Kept().Matches(await page.Http.GetStringAsync("/boathouse")).Single(m => m.Groups[2].Value == "Mill Water").Groups[1].Value;
        string plain = await BringAsync(page, "Without", null, null, ("captions.vtt", Captions("anvil now")));
        string id = await BringAsync(page, "With", crew, course, ("captions.vtt", Captions("anvil now")));
        var without = await page.DebriefAsync(plain);
        var with = await page.DebriefAsync(id);
        Assert.DoesNotContain(without.Called!.Calls, c => c.Type == "move");
        Assert.Contains(with.Called!.Calls, c => c is { Type: "move", Strokes: 10 });
        Assert.Equal(("Alder Reach", 1.38, 17.2, 15.1), (with.Us.Name, with.Us.SeatSpacing, with.Us.Length, with.Us.Cox));
        Assert.Equal((1650, 12), (with.Clock.Distance, with.LaneWidth));

        // The tape measure was wrong: every race of the hull is reckoned again.
        await HullAsync(page, "Long Heron", "1.41", hull);
        using var state = await page.SettledAsync(id);
        Assert.True(state.RootElement.GetProperty("fresh").GetBoolean());
        Assert.Equal(1.41, (await page.DebriefAsync(id)).Us.SeatSpacing);
    }

    [Fact]
    public async Task ARaceSheetThatNamesTheCrewFindsItInTheBoathouse()
    {
        var page = await server.PageAsync();
        await CrewAsync(page, "Tallow Wharf", await HullAsync(page, "Tallow", "1.37"), "");
        string id = await page.ImportAsync("Masters", ServerFixture.Race("masters-1000").Where(f => f.EndsWith(".json", StringComparison.Ordinal) || f.EndsWith(".vtt", StringComparison.Ordinal)));
        Assert.Equal(1.37, (await page.DebriefAsync(id)).Us.SeatSpacing);
    }

    [Fact]
    public async Task AWordThatWasPutRightInOneRaceIsHeardInTheNext()
    {
        var page = await server.PageAsync();
        string crew = await CrewAsync(page, "Teaching Crew", "", "anvil = ten for legs");
        string first = await BringAsync(page, "First", crew, null, ("captions.vtt", Captions("candle wick now")));
        Assert.DoesNotContain((await page.DebriefAsync(first)).Called!.Calls, c => c.Type == "move");
        var answer = await page.CorrectAsync(first, new
        {
            schema = "stakeboat.correction", version = 1,
            call = new { at = 81.0, heard = "candle wick", said = "anvil", @is = new CallPart { Id = 0, T = 81, TSd = 0.5, Type = "move", Confidence = 1, Words = "candle wick", Cue = 3, Strokes = 10 } },
        });
        Assert.Contains("a call was added", answer.GetProperty("changed").GetString());
        string second = await BringAsync(page, "Second", crew, null, ("captions.vtt", Captions("candle wick and go")));
        Assert.Contains((await page.DebriefAsync(second)).Called!.Calls, c => c is { Type: "move", Strokes: 10 });
        Assert.Contains("heard \"candle wick\", said \"anvil\"", WebUtility.HtmlDecode(await page.Http.GetStringAsync($"/boathouse/crew?id={crew}")));
    }

    [Fact]
    public async Task AFindingGoesIntoTheNextPlanAsANoteAndAsACue()
    {
        var page = await server.PageAsync();
        string id = await page.ImportAsync("Masters", ServerFixture.Race("masters-1000").Where(f => !f.EndsWith(".opus", StringComparison.Ordinal)));
        var finding = (await page.DebriefAsync(id)).Findings.First(f => f.Cue is not null);
        foreach (var (form, text) in new[] { ("note", finding.NextPlan ?? finding.Sentence), ("cue", finding.Cue!) })
        {
            string key = PageClient.NewKey();
            for (int twice = 0; twice < 2; twice++)
            {
                using var sent = await page.SendAsync(HttpMethod.Post, $"/outings/{id}/next-plan", JsonContent.Create(new { form, text, source = finding.Sentence, key }));
                sent.EnsureSuccessStatusCode();
            }
        }

        string shown = WebUtility.HtmlDecode(await page.Http.GetStringAsync("/next-plan"));
        Assert.Equal(2, Regex.Count(shown, Regex.Escape($"href=\"/outings/{id}\""), RegexOptions.None, TimeSpan.FromSeconds(5)));
        Assert.Contains(finding.Cue!, shown);
    }

    [Fact]
    public async Task TheSeasonIsFilteredAndTwoRacesAreCompared()
    {
        var page = await server.PageAsync();
        string four = await page.ImportAsync("Estuary evening", ServerFixture.Race("estuary-4"));
        string eight = await page.ImportAsync("Canal spring", ServerFixture.Race("spring-canal-8w"));
        using (await page.FormAsync($"/outings/{four}/change", ("day", "2031-03-02")))
        using (await page.FormAsync($"/outings/{eight}/change", ("day", "2031-05-09")))
        {
            Assert.Contains(four, await page.SeasonAsync("?q=evening"));
        }

        Assert.DoesNotContain(eight, await page.SeasonAsync("?q=evening"));
        string boat = (await page.DebriefAsync(four)).Us.Boat;
        var boats = await page.SeasonAsync("?boat=" + Uri.EscapeDataString(boat));
        Assert.Contains(four, boats);
        Assert.DoesNotContain(eight, boats);
        Assert.Equal([four], await page.SeasonAsync("?from=2031-03-01&to=2031-03-31"));
        Assert.Equal([eight, four], await page.SeasonAsync("?from=2031-01-01"));
        using (await page.FormAsync($"/outings/{four}/change", ("archived", "yes")))
        {
            Assert.DoesNotContain(four, await page.SeasonAsync());
        }

        Assert.Contains(four, await page.SeasonAsync("?archived=yes"));
        string compared = await page.Http.GetStringAsync($"/compare?race={four}&race={eight}");
        Assert.Contains("Estuary evening", compared);
        Assert.Contains("Canal spring", compared);
        Assert.Contains("Tick two races", await page.Http.GetStringAsync($"/compare?race={four}"));
        string again = await page.ImportAsync("Canal again", ServerFixture.Race("spring-canal-8w"));
        string same = await page.Http.GetStringAsync($"/compare?race={eight}&race={again}");
        Assert.Contains("not distinguishable", same);
    }

    [Theory]
    [InlineData("captions.vtt,race.json", true, false)]
    [InlineData("track.gpx,race.json", false, true)]
    [InlineData("captions.vtt,track.gpx,race.json", true, true)]
    public async Task CaptionsAloneATrackAloneOrBothAreADebrief(string names, bool called, bool rowed)
    {
        var page = await server.PageAsync();
        string id = await page.ImportAsync("Parts", names.Split(',').Select(n => Path.Combine(ServerFixture.Root, "data/corpus/spring-canal-8w", n)));
        var d = await page.DebriefAsync(id);
        Assert.Equal(called, d.Called is { Calls.Count: > 20 });
        Assert.Equal(rowed, d.Rowed is { Strokes.T.Count: > 0 } || d.Line is not null);
        Assert.NotEmpty(d.MoreWouldGive);
        Assert.Contains(d.MoreWouldGive[0], WebUtility.HtmlDecode(await page.Http.GetStringAsync($"/outings/{id}")));
        Assert.All(names.Split(','), n => Assert.Contains(d.Sources, s => s.Name.Length > 0));
        Assert.Equal(d.Sources.Count, d.Sources.Select(s => s.Kind + s.Name).Distinct().Count());
    }

    [Fact]
    public async Task WorkThatWaitsIsCancelledAndTakenUpAgain()
    {
        var page = await server.PageAsync();
        var ids = new List<string>();
        for (int i = 0; i < 3; i++)
        {
            string id = await page.BeginAsync("Queue");
            foreach (string f in ServerFixture.Race("spring-canal-8w"))
            {
                await page.PutAsync(id, Path.GetFileName(f), await File.ReadAllBytesAsync(f));
            }

            ids.Add(id);
        }

        foreach (string id in ids)
        {
            await page.FinishAsync(id);
        }

        using (var asked = await page.SendAsync(HttpMethod.Post, $"/outings/{ids[2]}/cancel"))
        {
            asked.EnsureSuccessStatusCode();
        }

        using (var state = await page.SettledAsync(ids[2]))
        {
            Assert.Equal("cancelled", state.RootElement.GetProperty("jobState").GetString());
            Assert.Equal(JsonValueKind.Null, state.RootElement.GetProperty("analysis").ValueKind);
        }

        using (await page.SendAsync(HttpMethod.Post, $"/outings/{ids[2]}/again"))
        using (var state = await page.SettledAsync(ids[2]))
        {
            Assert.Equal("done", state.RootElement.GetProperty("jobState").GetString());
        }
    }
}

public sealed class SqliteBoathouseTests(SqliteServer server) : BoathouseSuite(server), IClassFixture<SqliteServer>;

public sealed class PostgresBoathouseTests(PostgresServer server) : BoathouseSuite(server), IClassFixture<PostgresServer>;

/// <summary>Restoring replaces everything, so it has a server to itself.</summary>
public abstract class BackupSuite(ServerFixture server)
{
    [Fact]
    public async Task ABackupTakenFromThePageBringsEverythingBack()
    {
        var page = await server.PageAsync();
        string id = await page.BeginAsync("Kept");
        byte[] bytes = "WEBVTT\n\n00:01.000 --> 00:02.000\nattention go\n"u8.ToArray();
        var file = await page.PutAsync(id, "captions.vtt", bytes);
        await page.FinishAsync(id);
        using var settled = await page.SettledAsync(id);
        byte[] debrief = await page.Http.GetByteArrayAsync($"/outings/{id}/debrief");
        byte[] backup = await page.Http.GetByteArrayAsync("/backup.zip");
        using (await page.FormAsync($"/outings/{id}/delete", ("sure", "yes")))
        {
            Assert.Empty(await page.SeasonAsync());
        }

        Assert.Empty(Directory.EnumerateFiles(Path.Combine(server.Data, "originals"), "*", SearchOption.AllDirectories));
        foreach (bool sure in new[] { false, true })
        {
            var form = new MultipartFormDataContent { { new StringContent(page.Token), "stakeboatToken" } };
            if (sure)
            {
                form.Add(new StringContent("yes"), "sure");
            }

            form.Add(new ByteArrayContent(backup), "backup", "backup.zip");
            using var answer = await page.SendAsync(HttpMethod.Post, "/restore", form);
            Assert.Equal(sure ? HttpStatusCode.Redirect : HttpStatusCode.UnprocessableEntity, answer.StatusCode);
            Assert.Equal(sure ? [id] : [], await page.SeasonAsync());
        }

        Assert.Equal(debrief, await page.Http.GetByteArrayAsync($"/outings/{id}/debrief"));
        Assert.Equal(bytes, await page.Http.GetByteArrayAsync($"/outings/{id}/files/{file.Id}"));
    }
}

public sealed class SqliteBackupTests(SqliteServer server) : BackupSuite(server), IClassFixture<SqliteServer>;

public sealed class PostgresBackupTests(PostgresServer server) : BackupSuite(server), IClassFixture<PostgresServer>;
