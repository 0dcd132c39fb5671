using System.Text.Json;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Web.Tests;

/// <summary>Putting right a call, a crew, a lane, a time, the start and the pairing of clocks: the answer says what changed, and undo brings the same debrief back.</summary>
public abstract class CorrectingSuite(ServerFixture server)
{
    private async Task<(PageClient Page, string Id, DebriefDocument Before)> RaceAsync()
    {
        var page = await server.PageAsync();
        // Without the sound: its bytes play no part here.
        string id = await page.ImportAsync("Masters", ServerFixture.Race("masters-1000").Where(f => !f.EndsWith(".opus", StringComparison.Ordinal)));
        return (page, id, await page.DebriefAsync(id));
    }

    private static object Part(string kind, object part) => new Dictionary<string, object> { ["schema"] = "stakeboat.correction", ["version"] = 1, [kind] = part };

    [Fact]
    public async Task EveryKindIsAnsweredAtOnceAndUndoneToTheByte()
    {
        var (page, id, before) = await RaceAsync();
        byte[] first = DebriefJson.Write(before);
        Assert.NotEmpty(before.Margins);
        Assert.Contains(before.Clock.Maps, m => m.Clock == "motion");
        var rival = before.Margins.First(m => m.Crew == "Grebe Island");
        var claim = before.Called!.Calls.First(c => c.Type == "margin" && c.Crew is not null && c.T > before.Clock.GoAt + 30 && before.Evidence.Any(e => e.Call == c.Id));

        async Task Tried(object part, string said, Action<DebriefDocument> look)
        {
            var answer = await page.CorrectAsync(id, part);
            string changed = answer.GetProperty("changed").GetString()!;
            Assert.Contains(said, changed);
            if (answer.GetProperty("fresh").GetBoolean())
            {
                Assert.Matches("No margin|moved most|start is now|has a margin|differently", changed);
            }
            else
            {
                // The answer waits for twenty seconds; a machine with no time left answers without it, and the debrief follows.
                using var late = await page.SettledAsync(id);
                Assert.True(late.RootElement.GetProperty("fresh").GetBoolean());
            }

            look(await page.DebriefAsync(id));
            var undone = await page.StepAsync(id, "undo");
            Assert.StartsWith("Undone: ", undone.GetProperty("changed").GetString());
            using (await page.SettledAsync(id))
            {
            }

            Assert.Equal(first, DebriefJson.Write(await page.DebriefAsync(id)));
        }

        await Tried(Part("call", new { at = claim.T, heard = claim.Words, was = claim }), "is no call", d => Assert.DoesNotContain(d.Called!.Calls, c => c.Type == claim.Type && Math.Abs(c.T - claim.T) < 0.01 && c.Confidence > 0.5 && !c.Corrected));
        await Tried(Part("call", new { at = claim.T, heard = claim.Words, was = claim, @is = claim, moved = claim.T + 20 }), "the call is", d => Assert.Contains(d.Called!.Calls, c => c.Type == claim.Type && Math.Abs(c.T - claim.T - 20) < 0.1));
        // Redo brings back the last, not what was given up before it.
        var again = await page.StepAsync(id, "redo");
        Assert.StartsWith("Again: ", again.GetProperty("changed").GetString());
        using (await page.SettledAsync(id))
        {
        }

        Assert.Contains((await page.DebriefAsync(id)).Called!.Calls, c => c.Type == claim.Type && Math.Abs(c.T - claim.T - 20) < 0.1);
        await page.StepAsync(id, "undo");
        await Tried(Part("crew", new { was = "Grebe Island", @is = "Heron Island" }), "Grebe Island is Heron Island", d =>
        {
            Assert.Contains(d.Margins, m => m.Crew == "Heron Island");
            Assert.DoesNotContain(d.Crews, c => c.Name == "Grebe Island");
        });
        await Tried(Part("lane", new { crew = "Grebe Island", lane = 1 }), "had lane 1", d => Assert.Equal(1, d.Crews.Single(c => c.Name == "Grebe Island").Lane));
        await Tried(Part("distance", new { metres = 1050 }), "1050 m long", d => Assert.Equal(1050, d.Clock.Distance));
        await Tried(Part("start", new { goAt = before.Clock.GoAt!.Value + 4 }), "The start was at", d => Assert.Equal(before.Clock.GoAt!.Value + 4, d.Clock.GoAt!.Value, 1));
        await Tried(Part("clock", new { clock = "motion", shift = 2.5 }), "2.50 s later", d =>
            Assert.Equal(before.Clock.Maps.First(m => m.Clock == "motion").Offset + 2.5, d.Clock.Maps.First(m => m.Clock == "motion").Offset, 1));
        Assert.NotEmpty(rival.Metres);
    }

    [Theory]
    [InlineData("start", """{"goAt":1e12}""", "moment")]
    [InlineData("lane", """{"crew":"Marram","lane":1000}""", "lane")]
    [InlineData("distance", """{"metres":3}""", "100 m")]
    [InlineData("clock", """{"clock":"kitchen","shift":1}""", "clocks")]
    [InlineData("crew", """{"is":""}""", "name")]
    public async Task WhatCannotBeMeantIsRefusedInWords(string kind, string part, string word)
    {
        var page = await server.PageAsync();
        string id = await page.BeginAsync();
        await page.PutAsync(id, "captions.vtt", "WEBVTT\n\n00:01.000 --> 00:02.000\nattention go\n"u8.ToArray());
        await page.FinishAsync(id);
        using var settled = await page.SettledAsync(id);
        using var answer = await page.SendAsync(HttpMethod.Post, $"/outings/{id}/corrections", new StringContent(
            $$"""{"correction":{"schema":"stakeboat.correction","version":1,"{{kind}}":{{part}}},"key":"{{PageClient.NewKey()}}"}""", System.Text.Encoding.UTF8, "application/json"));
        Assert.Equal(422, (int)answer.StatusCode);
        Assert.Contains(word, await answer.Content.ReadAsStringAsync());
        using var after = await page.StateAsync(id);
        Assert.Equal(JsonValueKind.Null, after.RootElement.GetProperty("undo").ValueKind);
    }
}

public sealed class SqliteCorrectingTests(SqliteServer server) : CorrectingSuite(server), IClassFixture<SqliteServer>;

public sealed class PostgresCorrectingTests(PostgresServer server) : CorrectingSuite(server), IClassFixture<PostgresServer>;
