using System.Text;
using Microsoft.EntityFrameworkCore;
using Stakeboat.Exchange.Corrections;
using Stakeboat.Exchange.Debriefs;
using Stakeboat.Storage;

namespace Stakeboat.Web.Tests;

/// <summary>What a server acknowledged before it was killed, and what was asked of it and never answered.</summary>
internal sealed class KillLedger
{
    /// <summary>One outing as the server's answers describe it.</summary>
    internal sealed class Noted
    {
        public Dictionary<string, byte[]> Files { get; } = [];

        /// <summary>Sent and not answered.</summary>
        public (string Name, byte[] Bytes)? FileInFlight { get; set; }

        public bool FinishSent { get; set; }

        public bool Finished { get; set; }

        /// <summary>Bodies as they must stand in the store, with whether they are undone.</summary>
        public List<(string Body, bool Undone)> Corrections { get; set; } = [];

        /// <summary>The list as it would be, had the request in flight been done.</summary>
        public List<(string Body, bool Undone)>? CorrectionsInFlight { get; set; }

        /// <summary>Debriefs that were handed out, by number.</summary>
        public Dictionary<int, byte[]> Debriefs { get; } = [];

        public bool DeleteSent { get; set; }

        public bool Deleted { get; set; }
    }

    public Dictionary<string, Noted> Outings { get; } = [];

    /// <summary>Kills by what was under way.</summary>
    public Dictionary<string, int> Hits { get; } = [];

    /// <summary>What is being asked now.</summary>
    public string Doing { get; set; } = "nothing";

    /// <summary>Compares the store with everything that was acknowledged, byte by byte, and takes over what turned out done.</summary>
    /// <param name="looking">With the season's page too, not its list alone.</param>
    public async Task CheckAsync(Store store, PageClient page, bool looking)
    {
        IReadOnlyList<string> shown = [.. (await store.SeasonAsync(archived: false)).Select(l => l.Outing.Id)];
        if (looking)
        {
            Assert.Equal(shown, await page.SeasonAsync());
        }

        await using var db = store.Open();
        var rows = await db.Outings.AsNoTracking().ToDictionaryAsync(o => o.Id);
        var files = (await db.Files.AsNoTracking().ToListAsync()).ToLookup(f => f.OutingId);
        var corrections = (await db.Corrections.AsNoTracking().OrderBy(c => c.Number).ToListAsync()).ToLookup(c => c.OutingId);
        foreach (var (id, noted) in Outings)
        {
            bool there = rows.TryGetValue(id, out var row);
            if (noted.DeleteSent)
            {
                Assert.False(noted.Deleted && there, "A deleted race came back.");
                noted.Deleted = !there;
                noted.DeleteSent = false;
            }

            if (noted.Deleted)
            {
                Assert.False(there, "A deleted race came back.");
                Assert.DoesNotContain(id, shown);
                Assert.Empty(files[id]);
                Assert.Empty(corrections[id]);
                continue;
            }

            Assert.True(there, "A race that was acknowledged is gone.");
            Assert.True(row!.Ready == noted.Finished || (row.Ready && noted.FinishSent), "A race shows that was not finished, or the other way round.");
            (noted.Finished, noted.FinishSent) = (row.Ready, row.Ready);
            Assert.Equal(row.Ready, shown.Contains(id));
            await FilesAsync(store, noted, files[id].ToDictionary(f => f.Name, f => f.Hash));

            var kept = corrections[id].Select(c => (c.Body, c.Undone)).ToList();
            Assert.Equal(Enumerable.Range(1, kept.Count), corrections[id].Select(c => c.Number));
            if (!kept.SequenceEqual(noted.Corrections))
            {
                Assert.Equal(noted.CorrectionsInFlight, kept);
                noted.Corrections = kept;
            }

            noted.CorrectionsInFlight = null;
            Assert.All(kept, c => CorrectionJson.Read(c.Body));
            Assert.True(row.Revision >= noted.Files.Count + noted.Corrections.Count, "A change was kept and not counted.");
            foreach (var (number, bytes) in noted.Debriefs)
            {
                Assert.Equal(bytes, (await store.AnalysisAsync(id, number))?.Json);
            }
        }

        Assert.All(shown, id => Assert.True(Outings.TryGetValue(id, out var n) && n.Finished, "Something shows that nobody finished."));
        Assert.Empty(Directory.EnumerateFiles(store.Folder.Incoming));
        await WholeAsync(store, db);
        await OverTheWireAsync(page);
    }

    private static async Task FilesAsync(Store store, Noted noted, Dictionary<string, string> kept)
    {
        if (noted.FileInFlight is { } sent && kept.ContainsKey(sent.Name))
        {
            noted.Files[sent.Name] = sent.Bytes;
        }

        noted.FileInFlight = null;
        Assert.Equal(noted.Files.Keys.Order(StringComparer.Ordinal), kept.Keys.Order(StringComparer.Ordinal));
        foreach (var (name, bytes) in noted.Files)
        {
            Assert.Equal(bytes, await File.ReadAllBytesAsync(store.Vault.PathOf(kept[name])));
        }
    }

    /// <summary>Every original is what its name says and belongs to somebody; every debrief can be read to its end.</summary>
    private static async Task WholeAsync(Store store, StakeboatDb db)
    {
        var wanted = (await db.Files.Select(f => f.Hash).Distinct().ToListAsync()).ToHashSet(StringComparer.Ordinal);
        foreach (string hash in store.Vault.All())
        {
            Assert.Equal(hash, Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(await File.ReadAllBytesAsync(store.Vault.PathOf(hash)))));
            Assert.Contains(hash, wanted);
        }

        foreach (var a in await db.Analyses.Select(a => new { a.OutingId, a.Number }).ToListAsync())
        {
            Assert.Equal(DebriefDocument.SchemaName, DebriefJson.Read((await store.AnalysisAsync(a.OutingId, a.Number))!.Json).Schema);
        }
    }

    /// <summary>The pages give the same bytes as the store: looked at for the youngest races.</summary>
    private async Task OverTheWireAsync(PageClient page)
    {
        foreach (var (id, noted) in Outings.Where(o => o.Value is { Finished: true, Deleted: false }).TakeLast(2))
        {
            foreach (var (number, bytes) in noted.Debriefs)
            {
                Assert.Equal(bytes, await page.Http.GetByteArrayAsync($"/outings/{id}/debrief?analysis={number}"));
            }

            using var state = await page.StateAsync(id);
            string? undo = state.RootElement.GetProperty("undo").GetString();
            Assert.Equal(noted.Corrections.Exists(c => !c.Undone), undo is not null);
        }
    }

    /// <summary>In the end each race has the debrief of its last state.</summary>
    public async Task EndAsync(Store store, PageClient page)
    {
        foreach (var (id, noted) in Outings.Where(o => o.Value is { Finished: true, Deleted: false }))
        {
            using var state = await page.SettledAsync(id);
            Assert.True(state.RootElement.GetProperty("fresh").GetBoolean(), "A debrief was never made again: " + state.RootElement);
            var document = DebriefJson.Read((await store.AnalysisAsync(id))!.Json);
            double? said = noted.Corrections.Where(c => !c.Undone).Select(c => CorrectionJson.Read(c.Body).Distance?.Metres).LastOrDefault();
            Assert.Equal(said, document.Clock.Distance);
        }
    }

    public static byte[] Captions(int seed, int i) =>
        Encoding.UTF8.GetBytes($"WEBVTT\n\n00:10.000 --> 00:12.000\nsit ready attention go {seed} {i}\n\n00:40.000 --> 00:42.000\nwe are at thirty four\n");

    /// <summary>Twenty seconds of noise at 8 kHz: large enough that a kill meets it half-written.</summary>
    public static byte[] Recording(Random random)
    {
        byte[] wav = new byte[44 + 320_000];
        random.NextBytes(wav.AsSpan(44));
        using var w = new BinaryWriter(new MemoryStream(wav));
        w.Write("RIFF"u8);
        w.Write(wav.Length - 8);
        w.Write("WAVEfmt "u8);
        w.Write(16);
        w.Write((short)1);
        w.Write((short)1);
        w.Write(8000);
        w.Write(16000);
        w.Write((short)2);
        w.Write((short)16);
        w.Write("data"u8);
        w.Write(wav.Length - 44);
        return wav;
    }
}
