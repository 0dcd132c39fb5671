using Microsoft.Playwright;

namespace Stakeboat.Browser.Tests;

[Collection(OneBrowser.Name)]
public sealed class DemoRaceTests(PageFixture fixture)
{
    [Theory]
    [InlineData(1440, ColorScheme.Light)]
    [InlineData(1440, ColorScheme.Dark)]
    [InlineData(390, ColorScheme.Light)]
    [InlineData(390, ColorScheme.Dark)]
    public async Task TheDemoRaceOpensAtOnceWithNothingSeriousAndNothingForeign(int width, ColorScheme scheme)
    {
        var w = await fixture.NewPageAsync(width, width > 1000 ? 900 : 844, scheme);
        await w.Page.GotoAsync(fixture.Demo);
        await w.ShownAsync();
        await w.Page.EvaluateAsync("() => { const s = window.stakeboat; s.clock.seek(s.model.go + 130); }");
        await w.Page.WaitForTimeoutAsync(400);
        Assert.True(await w.Page.Locator("[data-strip=margin] canvas").IsVisibleAsync());
        Assert.True(await w.Page.Locator("[data-strip=rate] canvas").IsVisibleAsync());
        Assert.True(await w.Page.Locator(".cue").CountAsync() > 20);
        Assert.NotEqual(0, await w.Page.Locator(".finding").CountAsync());
        Assert.Equal(0, await w.Page.EvaluateAsync<int>("() => Math.max(0, document.documentElement.scrollWidth - innerWidth)"));
        if (Environment.GetEnvironmentVariable("STAKEBOAT_PICTURES") is { Length: > 0 } folder)
        {
            await w.Page.ScreenshotAsync(new PageScreenshotOptions { Path = Path.Combine(folder, $"race-{width}-{scheme.ToString().ToLowerInvariant()}.png") });
        }

        Assert.Empty(await w.SeriousAsync());
        Assert.Empty(w.Foreign);
        Assert.Empty(w.Errors);
    }

    [Fact]
    public async Task TheCursorFollowsTheSoundWithinFiftyMilliseconds()
    {
        var w = await fixture.NewPageAsync();
        await w.Page.GotoAsync(fixture.Demo);
        await w.ShownAsync();
        await w.Page.Keyboard.PressAsync("Space");
        await w.Page.WaitForFunctionAsync("() => window.stakeboat.audio && !window.stakeboat.audio.paused && window.stakeboat.audio.currentTime > window.stakeboat.model.go - 2", null, new PageWaitForFunctionOptions { Timeout = 20_000 });
        double worst = await w.Page.EvaluateAsync<double>("""
            () => new Promise(done => { let worst = 0, n = 0; const look = () => { const s = window.stakeboat; worst = Math.max(worst, Math.abs(s.clock.t - s.audio.currentTime)); if (++n < 60) requestAnimationFrame(look); else done(worst); }; requestAnimationFrame(look); })
            """);
        Assert.InRange(worst, 0, 0.05);
        await w.Page.Keyboard.PressAsync("Space");
        Assert.True(await w.Page.EvaluateAsync<bool>("() => window.stakeboat.audio.paused"));
    }

    [Fact]
    public async Task ACallIsPutRightByKeyTheMarginMovesAndUndoBringsItBack()
    {
        var w = await fixture.NewPageAsync();
        await w.Page.GotoAsync(fixture.Demo);
        await w.ShownAsync();
        const string Sum = "() => window.stakeboat.model.rivals.map(r => r.metres.reduce((a, b) => a + b, 0)).reduce((a, b) => a + b, 0)";
        double before = await w.Page.EvaluateAsync<double>(Sum);
        // An invented claim of a place far from what was found, added by key in the middle of the race.
        await w.Page.EvaluateAsync("() => { const s = window.stakeboat; s.clock.seek((s.model.go + s.model.finish) / 2); }");
        await w.Page.Keyboard.PressAsync("a");
        await w.Page.WaitForSelectorAsync("#correct[open]");
        await w.Page.Locator("#correct [name=crew]").SelectOptionAsync(new SelectOptionValue { Index = 1 });
        await w.Page.Locator("#correct [name=side]").SelectOptionAsync("ahead");
        await w.Page.Locator("#correct [name=seats]").FillAsync("1");
        await w.Page.Keyboard.PressAsync("Enter");
        await w.Page.WaitForFunctionAsync("() => !document.getElementById('undo').disabled", null, new PageWaitForFunctionOptions { Timeout = 60_000 });
        string said = await w.Page.Locator("#notice").InnerTextAsync();
        Assert.Contains("a call was added", said);
        double after = await w.Page.EvaluateAsync<double>(Sum);
        Assert.NotEqual(before, after);
        await w.Page.Locator("#undo").ClickAsync();
        await w.Page.WaitForFunctionAsync("() => document.getElementById('undo').disabled && !document.getElementById('redo').disabled", null, new PageWaitForFunctionOptions { Timeout = 60_000 });
        Assert.Equal(before, await w.Page.EvaluateAsync<double>(Sum), 6);
        Assert.Empty(w.Errors);
    }

    [Theory]
    [InlineData("/season")]
    [InlineData("/new")]
    [InlineData("/boathouse")]
    [InlineData("/boathouse/crew")]
    [InlineData("/next-plan")]
    [InlineData("/house")]
    public async Task EveryOtherPageIsCleanToo(string path)
    {
        foreach (int width in new[] { 1440, 390 })
        {
            var w = await fixture.NewPageAsync(width);
            await w.Page.GotoAsync(fixture.Address + path);
            Assert.Empty(await w.SeriousAsync());
            Assert.Equal(0, await w.Page.EvaluateAsync<int>("() => Math.max(0, document.documentElement.scrollWidth - innerWidth)"));
            Assert.Empty(w.Errors);
            Assert.Empty(w.Foreign);
        }
    }
}
