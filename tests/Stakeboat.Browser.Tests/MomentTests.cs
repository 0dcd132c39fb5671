using System.Diagnostics;
using System.Globalization;
using Microsoft.Playwright;

namespace Stakeboat.Browser.Tests;

/// <summary>
/// Moments of use, each walked to its end. How long each step took is written to the test's output (and to the file that
/// STAKEBOAT_TIMES names): a machine's time, without a person's reading and thinking.
/// </summary>
[Collection(OneBrowser.Name)]
public sealed class MomentTests(PageFixture fixture)
{
    private sealed class Steps(string moment)
    {
        private readonly Stopwatch _watch = Stopwatch.StartNew();
        private double _last;

        public void Done(string step)
        {
            double now = _watch.Elapsed.TotalSeconds;
            string line = string.Create(CultureInfo.InvariantCulture, $"{moment} | {step} | {now - _last:0.0} s | {now:0.0} s");
            _last = now;
            TestContext.Current.TestOutputHelper?.WriteLine(line);
            if (Environment.GetEnvironmentVariable("STAKEBOAT_TIMES") is { Length: > 0 } file)
            {
                File.AppendAllText(file, line + "\n");
            }
        }
    }

    private static async Task PictureAsync(WatchedPage w, string name)
    {
        if (Environment.GetEnvironmentVariable("STAKEBOAT_PICTURES") is { Length: > 0 } folder)
        {
            await w.Page.ScreenshotAsync(new PageScreenshotOptions { Path = Path.Combine(folder, name + ".png") });
        }
    }

    [Fact]
    public async Task FirstVisit_TheDemoPlaysByItselfAndShowsThreeFindings()
    {
        var w = await fixture.NewPageAsync(still: false);
        var steps = new Steps("first visit");
        await w.Page.GotoAsync(fixture.Demo);
        await w.ShownAsync();
        steps.Done("the demo race is shown");
        await w.UntilAsync("() => window.stakeboat.clock.playing");
        double was = await w.Page.EvaluateAsync<double>("() => window.stakeboat.clock.t");
        await w.UntilAsync("() => window.stakeboat.clock.t > window.stakeboat.model.go + 1", 20);
        Assert.True(await w.Page.EvaluateAsync<double>("() => window.stakeboat.clock.t") > was);
        Assert.True(await w.Page.EvaluateAsync<bool>("() => window.stakeboat.audio.muted"));
        // The boats are in the picture from the first frame on.
        Assert.True(await w.Page.EvaluateAsync<bool>("() => { const v = window.stakeboat.lanes.window; return Number.isFinite(v.span) && Number.isFinite(v.centre) && v.span > 10; }"));
        steps.Done("it plays, without sound as yet");
        await w.Page.GetByRole(AriaRole.Button, new PageGetByRoleOptions { Name = "Sound on" }).ClickAsync();
        Assert.False(await w.Page.EvaluateAsync<bool>("() => window.stakeboat.audio.muted"));
        await w.UntilAsync("() => document.querySelectorAll('.cue.now, .counted.now').length === 1");
        steps.Done("sound, hulls and captions run together");
        var findings = w.Page.Locator(".findings > ol > .finding");
        Assert.True(await findings.CountAsync() >= 3);
        for (int i = 0; i < 3; i++)
        {
            Assert.Matches("[0-9]", await findings.Nth(i).Locator(".sentence").InnerTextAsync());
            Assert.True(await findings.Nth(i).Locator(".hear").CountAsync() > 0);
        }

        await findings.First.Locator(".hear").First.ClickAsync();
        Assert.True(await w.Page.EvaluateAsync<bool>("() => window.stakeboat.clock.playing"));
        await PictureAsync(w, "first-visit");
        steps.Done("three findings, the first heard");
        await w.Page.Keyboard.PressAsync("Space");
        await w.Page.Locator(".welcome a").ClickAsync();
        await w.Page.WaitForSelectorAsync("#drop");
        steps.Done("the place for one's own files");
        Assert.Empty(w.Errors);
        Assert.Empty(w.Foreign);
    }

    [Fact]
    public async Task InTheVan_ADropBecomesMarginsAndTwoWrongCallsArePutRightByKey()
    {
        var w = await fixture.NewPageAsync(390, 844);
        var steps = new Steps("in the van");
        await w.Page.GotoAsync(fixture.Address + "/new");
        await w.Page.Locator("[name=name]").FillAsync("Van");
        await w.DropRaceAsync("dual-8");
        await w.ShownAsync();
        steps.Done("recording, captions, track and motion log dropped and shown");
        Assert.True(await w.Page.EvaluateAsync<bool>("() => window.stakeboat.model.go !== null && window.stakeboat.model.finish !== null"));
        Assert.True(await w.Page.EvaluateAsync<bool>("() => window.stakeboat.model.doc.clock.maps.every(m => m.offsetSd < 2)"));
        Assert.True(await w.Page.EvaluateAsync<bool>("() => window.stakeboat.model.rivals.some(r => r.metres.length > 60)"));
        Assert.True(await w.Page.Locator(".call.doubtful").CountAsync() > 0);
        await PictureAsync(w, "in-the-van");
        steps.Done("race found, clocks joined, margins there, doubtful calls marked");
        const string Calls = "() => window.stakeboat.model.doc.called.calls.length";
        for (int i = 0; i < 2; i++)
        {
            int before = await w.Page.EvaluateAsync<int>(Calls);
            await w.Page.EvaluateAsync("n => { const s = window.stakeboat, at = s.model.doc.evidence.filter(e => e.call != null)[3 + 4 * n]; s.clock.seek(at.t); }", i);
            await w.Page.Keyboard.PressAsync("c");
            await w.Page.WaitForSelectorAsync("#correct[open]");
            await w.Page.GetByRole(AriaRole.Button, new PageGetByRoleOptions { Name = "No call at all" }).FocusAsync();
            await w.Page.Keyboard.PressAsync("Enter");
            await w.UntilAsync($"() => ({Calls})() < {before} && document.getElementById('notice').textContent.includes('is no call')");
            steps.Done(i == 0 ? "a wrong call put right" : "another one");
        }

        await w.Page.Keyboard.PressAsync("u");
        await w.UntilAsync("() => document.getElementById('notice').textContent.startsWith('Undone')");
        Assert.Empty(w.Errors);
    }

    [Fact]
    public async Task WithTheCoach_TheSecondMoveIsPlayedAgainAndSentToTheNextPlan()
    {
        var w = await fixture.NewPageAsync();
        await w.Page.GotoAsync(fixture.Address + "/new");
        await w.Page.Locator("[name=name]").FillAsync("Coach");
        await w.DropRaceAsync("masters-1000");
        await w.ShownAsync();
        var steps = new Steps("with the coach");
        await w.Page.Keyboard.PressAsync("Home");
        await w.Page.Keyboard.PressAsync("n");
        double first = await w.Page.EvaluateAsync<double>("() => window.stakeboat.clock.t");
        await w.Page.Keyboard.PressAsync("n");
        double second = await w.Page.EvaluateAsync<double>("() => window.stakeboat.clock.t");
        Assert.True(second > first);
        steps.Done("stepped to the second move");
        await w.Page.Keyboard.PressAsync("ArrowRight");
        await w.Page.Keyboard.PressAsync("ArrowRight");
        await w.Page.Keyboard.PressAsync("l");
        await w.Page.Keyboard.PressAsync("Space");
        await w.UntilAsync("() => window.stakeboat.clock.loop && window.stakeboat.clock.playing && window.stakeboat.clock.t > window.stakeboat.clock.loop.from");
        await w.Page.EvaluateAsync("() => { const c = window.stakeboat.clock; c.seek(c.loop.to - .4); }");
        await w.UntilAsync("() => window.stakeboat.clock.t < window.stakeboat.clock.loop.to - 1", 20);
        Assert.True(await w.Page.EvaluateAsync<bool>("() => window.stakeboat.clock.playing"));
        steps.Done("it plays round and round");
        string move = await w.Page.Locator("[data-part=tables] table:has(caption:text-matches('Moves')) tbody tr").Nth(1).InnerTextAsync();
        Assert.Matches(@"[+−]?\d\.\d", move);
        Assert.Contains(" to ", move);
        await PictureAsync(w, "with-the-coach");
        steps.Done("what it won and what was held, with intervals");
        await w.Page.Keyboard.PressAsync("Space");
        if (await w.Page.Locator(".more-findings").CountAsync() > 0)
        {
            await w.Page.Locator(".more-findings > summary").ClickAsync();
        }

        var finding = w.Page.Locator(".finding:has(.send-on[data-form=cue])").First;
        string cue = (await finding.GetAttributeAsync("data-cue"))!, note = (await finding.GetAttributeAsync("data-note"))!;
        foreach (string form in new[] { "cue", "note" })
        {
            await finding.Locator($".send-on[data-form={form}]").ClickAsync();
            await w.Page.WaitForSelectorAsync($".send-on.sent[data-form={form}]");
        }

        await w.Page.GetByRole(AriaRole.Link, new PageGetByRoleOptions { Name = "Next plan" }).ClickAsync();
        string shown = await w.Page.Locator("main").InnerTextAsync();
        Assert.Contains(cue, shown);
        Assert.Contains(note, shown);
        steps.Done("sent to the next plan as a cue and as a note");
        await PictureAsync(w, "next-plan");
        Assert.Empty(await w.SeriousAsync());
        Assert.Empty(w.Errors);
    }
}
