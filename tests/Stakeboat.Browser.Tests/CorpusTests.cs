using Microsoft.Playwright;

namespace Stakeboat.Browser.Tests;

/// <summary>Each labelled race comes in by drop and is shown; hostile and useless drops are answered in words.</summary>
[Collection(OneBrowser.Name)]
public sealed class CorpusTests(PageFixture fixture)
{
    /// <summary>The folder, and whether there are rivals, captions, and something that measured.</summary>
    [Theory]
    [InlineData("autumn-lake-8", true, true)]
    [InlineData("dual-8", true, true)]
    [InlineData("estuary-4", true, false)]
    [InlineData("long-river-head", true, true)]
    [InlineData("masters-1000", true, true)]
    [InlineData("practice-morning", false, false)]
    [InlineData("school-quad-1500", true, false)]
    [InlineData("spring-canal-8w", true, true)]
    public async Task AFolderIsDroppedAndShown(string folder, bool margins, bool rowed)
    {
        var w = await fixture.NewPageAsync();
        await w.Page.GotoAsync(fixture.Address + "/new");
        await w.Page.Locator("[name=name]").FillAsync(folder);
        await w.DropRaceAsync(folder);
        await w.ShownAsync();
        Assert.Equal(folder, await w.Page.Locator("h1").InnerTextAsync());
        Assert.True(await w.Page.Locator(".cue").CountAsync() > 5);
        Assert.True(await w.Page.Locator("button.call").CountAsync() > 5);
        Assert.Equal(margins, await w.Page.EvaluateAsync<bool>("() => window.stakeboat.model.rivals.some(r => r.metres.length > 30)"));
        Assert.Equal(rowed, await w.Page.EvaluateAsync<bool>("() => !!(window.stakeboat.model.strokes?.t.length || window.stakeboat.model.doc.line)"));
        // The list of what was understood names every file.
        string list = await w.Page.Locator("[data-part=tables]").InnerTextAsync();
        Assert.Contains("captions", list);
        // Every moment of it can be drawn.
        await w.Page.EvaluateAsync("() => { const s = window.stakeboat; for (let k = 0; k <= 20; k++) s.clock.seek(s.model.from + (s.model.to - s.model.from) * k / 20); }");
        Assert.Empty(await w.SeriousAsync());
        Assert.Empty(w.Errors);
        Assert.Empty(w.Foreign);
        await w.Page.Context.CloseAsync();
    }

    [Fact]
    public async Task NamesWithMarkupAndTurnedWordsAreOnlyEverText()
    {
        var w = await fixture.NewPageAsync(390, 844);
        await w.Page.GotoAsync(fixture.Address + "/new");
        byte[] captions = "WEBVTT\n\n00:01.000 --> 00:02.000\nattention go <img src=x onerror=\"window.harmed=1\">\n\n00:20.000 --> 00:22.000\nthirty four\n"u8.ToArray();
        await w.DropAsync(
            ("<img src=x onerror=window.harmed=1>.vtt", captions), ("race\u202Efdp.txt", "nothing"u8.ToArray()), (new string('n', 251) + ".gpx", "<gpx>"u8.ToArray()));
        await w.ShownAsync();
        Assert.True(await w.Page.EvaluateAsync<bool>("() => window.harmed === undefined"));
        Assert.Equal(0, await w.Page.Locator("main img").CountAsync());
        Assert.Contains("<img src=x onerror=window.harmed=1>.vtt", await w.Page.Locator(".take-away").InnerHTMLAsync() is { } html ? System.Net.WebUtility.HtmlDecode(html) : "");
        Assert.Equal(0, await w.Page.EvaluateAsync<int>("() => Math.max(0, document.documentElement.scrollWidth - innerWidth)"));
        Assert.Empty(w.Errors);
    }

    [Fact]
    public async Task WhatIsNoRaceIsAnsweredWithWhatWouldHelp()
    {
        var w = await fixture.NewPageAsync();
        await w.Page.GotoAsync(fixture.Address + "/new");
        await w.DropAsync(("holiday.jpg", [0xFF, 0xD8, 0xFF, 0xE0, 0, 1]));
        await w.Page.WaitForSelectorAsync("#again:not([hidden])", new PageWaitForSelectorOptions { Timeout = 60_000 });
        Assert.Contains("aptions", await w.Page.Locator("#waiting-message").InnerTextAsync());
        Assert.Empty(await w.SeriousAsync());
    }

    [Fact]
    public async Task ADoubleClickAndADoubleDropBringOneRace()
    {
        var w = await fixture.NewPageAsync();
        await w.Page.GotoAsync(fixture.Address + "/new");
        await w.Page.Locator("[name=name]").FillAsync("Once only");
        await w.Page.Locator("#files").SetInputFilesAsync(new FilePayload { Name = "captions.vtt", MimeType = "text/vtt", Buffer = "WEBVTT\n\n00:01.000 --> 00:02.000\nattention go\n"u8.ToArray() });
        await w.Page.Locator("#send").DblClickAsync();
        await w.ShownAsync();
        await w.Page.GotoAsync(fixture.Address + "/season?q=Once+only");
        Assert.Equal(1, await w.Page.Locator("th a").CountAsync());
    }
}
