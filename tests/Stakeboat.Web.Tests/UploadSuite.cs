using System.IO.Compression;
using System.Net;
using System.Net.Http.Json;
using System.Text;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Web.Tests;

/// <summary>Files that mean harm or are not what they say: each is answered in words, nothing outside the data folder is touched, the program lives on.</summary>
public abstract class UploadSuite(ServerFixture server)
{
    private static readonly byte[] s_captions = Encoding.UTF8.GetBytes("WEBVTT\n\n00:01.000 --> 00:02.000\nattention go\n\n00:20.000 --> 00:22.000\nthirty four\n");

    /// <summary>Brings one file in, waits for the end of the work, and gives the job's last state and sentence.</summary>
    private async Task<(string Id, string State, string Message, PageClient Page)> BringAsync(string name, byte[] bytes)
    {
        var page = await server.PageAsync();
        string id = await page.BeginAsync();
        await page.PutAsync(id, name, bytes);
        await page.FinishAsync(id);
        using var state = await page.SettledAsync(id);
        return (id, state.RootElement.GetProperty("jobState").GetString()!, state.RootElement.GetProperty("message").GetString() ?? "", page);
    }

    private static byte[] Zip(params (string Name, long Zeros)[] entries)
    {
        var target = new MemoryStream();
        using (var zip = new ZipArchive(target, ZipArchiveMode.Create, leaveOpen: true))
        {
            byte[] block = new byte[1_000_000];
            foreach (var (name, zeros) in entries)
            {
                using var e = zip.CreateEntry(name, CompressionLevel.Fastest).Open();
                for (long left = zeros; left > 0; left -= block.Length)
                {
                    e.Write(block, 0, (int)Math.Min(left, block.Length));
                }
            }
        }

        return target.ToArray();
    }

    [Fact]
    public async Task AZipThatSwellsIsNotUnpacked()
    {
        // 1.5 GB of nothing in a few MB, and a second one inside a first.
        byte[] bomb = Zip(("track.gpx", 1_500_000_000));
        Assert.InRange(bomb.Length, 0, 20_000_000);
        long before = server.PeakMemory();
        var (_, state, message, page) = await BringAsync("race.zip", bomb);
        Assert.Equal("failed", state);
        Assert.NotEmpty(message);
        Assert.DoesNotContain("Exception", message);
        Assert.DoesNotContain("   at ", message);
        Assert.InRange(server.PeakMemory() - before, 0, 500_000_000);
        Assert.NotNull(await page.Http.GetStringAsync("/season"));
    }

    [Fact]
    public async Task AZipWithPathsThatClimbWritesNowhere()
    {
        var target = new MemoryStream();
        using (var zip = new ZipArchive(target, ZipArchiveMode.Create, leaveOpen: true))
        {
            using var e = zip.CreateEntry("../../../../tmp/stakeboat-climbed.vtt").Open();
            e.Write(s_captions);
        }

        string[] before = Directory.GetFileSystemEntries(Path.GetDirectoryName(server.Data)!, "stakeboat-climbed*");
        await BringAsync("race.zip", target.ToArray());
        Assert.Equal(before, Directory.GetFileSystemEntries(Path.GetDirectoryName(server.Data)!, "stakeboat-climbed*"));
        Assert.False(File.Exists("/tmp/stakeboat-climbed.vtt"));
        Assert.All(Directory.EnumerateFiles(server.Data, "*", SearchOption.AllDirectories), f => Assert.DoesNotContain("climbed", f));
    }

    public static TheoryData<string, string> WrongTypes => new()
    {
        { "track.gpx", "<html><body>Please log in</body></html>" },
        { "captions.vtt", "\u0089PNG\r\n\u001a\nnot a picture either" },
        { "race.json", "{ \"boat\": [[[[[[" },
        { "recording.opus", "this is text" },
        { "motion.csv", "a;b;c\nx;y;z\n" },
        { "result.json", "" },
    };

    [Theory]
    [MemberData(nameof(WrongTypes))]
    public async Task AWrongTypeIsSaidInWordsAndKept(string name, string text)
    {
        var page = await server.PageAsync();
        string id = await page.BeginAsync();
        await page.PutAsync(id, "good.vtt", s_captions);
        var kept = await page.PutAsync(id, name, Encoding.Latin1.GetBytes(text));
        await page.FinishAsync(id);
        using var state = await page.SettledAsync(id);
        Assert.Equal("done", state.RootElement.GetProperty("jobState").GetString());
        var document = await page.DebriefAsync(id);
        Assert.NotNull(document.Called);
        Assert.Contains(document.Issues, i => i.File.Contains(name, StringComparison.Ordinal) && i.What.Length > 0);
        string shown = await page.Http.GetStringAsync($"/outings/{id}");
        Assert.Contains(name, shown);
        Assert.DoesNotContain("<html><body>Please", shown);
        Assert.Equal(Encoding.Latin1.GetBytes(text), await page.Http.GetByteArrayAsync($"/outings/{id}/files/{kept.Id}"));
    }

    [Fact]
    public async Task OnlyRubbishIsAnsweredWithWhatWouldHelp()
    {
        var (id, state, message, page) = await BringAsync("holiday.jpg", [0xFF, 0xD8, 0xFF, 0xE0, 1, 2, 3]);
        Assert.Equal("failed", state);
        Assert.Contains("captions", message, StringComparison.OrdinalIgnoreCase);
        using var answer = await page.Http.GetAsync($"/outings/{id}/debrief");
        Assert.Equal(HttpStatusCode.NotFound, answer.StatusCode);
    }

    public static TheoryData<string> Names =>
    [
        "../../../../tmp/stakeboat-escaped.vtt", "..\\..\\windows\\stakeboat-escaped.vtt", "/etc/stakeboat-escaped.vtt", "<img src=x onerror=alert(1)>.vtt",
        "\"><script>alert(1)</script>.vtt", "race\u202Exe.ttv", "\u200F\u061Crace.vtt", "a\u0000b.vtt", "line\r\nbreak: yes.vtt", "CON", "...", " ", "'; DROP TABLE outings; --.vtt",
        new string('n', 251) + ".vtt", new string('å', 125) + ".vtt", "\U0001F6A3\U0001F6A3.vtt",
    ];

    [Theory]
    [MemberData(nameof(Names))]
    public async Task AHostileNameIsOnlyEverText(string name)
    {
        var page = await server.PageAsync();
        string id = await page.BeginAsync(name);
        var kept = await page.PutAsync(id, name, s_captions);
        await page.FinishAsync(id);
        using var state = await page.SettledAsync(id);
        Assert.Equal("done", state.RootElement.GetProperty("jobState").GetString());
        Assert.InRange(kept.Name.Length, 1, 120);
        Assert.DoesNotContain(kept.Name, c => c is '/' or '\\' || char.IsControl(c) || c is '\u202E' or '\u200F' or '\u061C');
        string shown = await page.Http.GetStringAsync($"/outings/{id}");
        Assert.DoesNotContain("<img src=x", shown);
        Assert.DoesNotContain("<script>alert", shown);
        Assert.DoesNotContain("\u202E", shown);
        string season = await page.Http.GetStringAsync("/season");
        Assert.DoesNotContain("<script>alert", season);
        using var original = await page.Http.GetAsync($"/outings/{id}/files/{kept.Id}");
        Assert.Equal(s_captions, await original.Content.ReadAsByteArrayAsync());
        Assert.Contains("attachment", original.Content.Headers.ContentDisposition?.ToString());
        using var report = await page.Http.GetAsync($"/outings/{id}/report.html");
        Assert.DoesNotContain("<script>alert", await report.Content.ReadAsStringAsync());
        Assert.All(Directory.EnumerateFiles(Path.Combine(server.Data, "originals"), "*", SearchOption.AllDirectories), f => Assert.Equal(64, Path.GetFileName(f).Length));
        Assert.False(File.Exists("/tmp/stakeboat-escaped.vtt") || File.Exists("/etc/stakeboat-escaped.vtt"));
    }

    [Fact]
    public async Task AFormSentTwiceMakesOneRace()
    {
        var page = await server.PageAsync();
        string key = PageClient.NewKey();
        int before = (await page.SeasonAsync()).Count;
        async Task<HttpResponseMessage> SendAsync()
        {
            var form = new MultipartFormDataContent
            {
                { new StringContent(page.Token), "stakeboatToken" }, { new StringContent(key), "key" }, { new StringContent("Twice"), "name" },
                { new ByteArrayContent(s_captions), "files", "captions.vtt" },
            };
            return await page.SendAsync(HttpMethod.Post, "/imports/form", form);
        }

        var answers = await Task.WhenAll(SendAsync(), SendAsync());
        Assert.All(answers, a => Assert.Equal(HttpStatusCode.Redirect, a.StatusCode));
        Assert.Single(answers.Select(a => a.Headers.Location!.ToString()).Distinct());
        Assert.Equal(before + 1, (await page.SeasonAsync()).Count);
    }

    [Fact]
    public async Task ACorrectionSentTwiceCountsOnceAndASecondTabIsTold()
    {
        var one = await server.PageAsync();
        var two = await server.PageAsync();
        string id = await one.BeginAsync();
        await one.PutAsync(id, "captions.vtt", s_captions);
        await one.FinishAsync(id);
        using var settled = await one.SettledAsync(id);
        int seen = settled.RootElement.GetProperty("revision").GetInt32();
        string key = PageClient.NewKey();
        object Ask(double metres, string k) => new { correction = new { schema = "stakeboat.correction", version = 1, distance = new { metres } }, seen, key = k };
        var answers = await Task.WhenAll(
            one.SendAsync(HttpMethod.Post, $"/outings/{id}/corrections", JsonContent.Create(Ask(1000, key))),
            one.SendAsync(HttpMethod.Post, $"/outings/{id}/corrections", JsonContent.Create(Ask(1000, key))));
        Assert.Contains(answers, a => a.IsSuccessStatusCode);
        using var late = await two.SendAsync(HttpMethod.Post, $"/outings/{id}/corrections", JsonContent.Create(Ask(1500, PageClient.NewKey())));
        Assert.Equal(HttpStatusCode.Conflict, late.StatusCode);
        Assert.Contains("another window", await late.Content.ReadAsStringAsync());
        using var state = await two.SettledAsync(id);
        Assert.Equal(seen + 1, state.RootElement.GetProperty("revision").GetInt32());
        Assert.Equal(1000, (await two.DebriefAsync(id)).Clock.Distance);
    }

    [Fact]
    public async Task AnUploadBrokenOffLeavesNothing()
    {
        var page = await server.PageAsync();
        string id = await page.BeginAsync();
        using (var stop = new CancellationTokenSource())
        {
            using var put = page.Request(HttpMethod.Put, $"/imports/{id}/files?name=long.wav", new StreamContent(new Endless(stop)));
            await Assert.ThrowsAnyAsync<OperationCanceledException>(() => page.Http.SendAsync(put, stop.Token));
        }

        using var end = await page.SendAsync(HttpMethod.Post, $"/imports/{id}/finish");
        Assert.Equal(HttpStatusCode.UnprocessableEntity, end.StatusCode);
        Assert.DoesNotContain(id, await page.SeasonAsync());
        for (int i = 0; i < 100 && Directory.EnumerateFiles(Path.Combine(server.Data, "incoming")).Any(); i++)
        {
            await Task.Delay(50);
        }

        Assert.Empty(Directory.EnumerateFiles(Path.Combine(server.Data, "incoming")));
    }

    /// <summary>Bytes without end; breaks the request off after two megabytes.</summary>
    private sealed class Endless(CancellationTokenSource stop) : MemoryStream
    {
        private long _given;

        public override bool CanSeek => false;

        public override async ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default)
        {
            _given += buffer.Length;
            if (_given > 2_000_000)
            {
                await stop.CancelAsync();
                cancellationToken.ThrowIfCancellationRequested();
            }

            return buffer.Length;
        }
    }
}

public sealed class SqliteUploadTests(SqliteServer server) : UploadSuite(server), IClassFixture<SqliteServer>;

public sealed class PostgresUploadTests(PostgresServer server) : UploadSuite(server), IClassFixture<PostgresServer>;
