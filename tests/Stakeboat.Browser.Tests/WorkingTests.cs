using Microsoft.Playwright;

namespace Stakeboat.Browser.Tests;

/// <summary>Keyboard alone, two tabs, downloads, dialogs: the everyday use of a race page.</summary>
[Collection(OneBrowser.Name)]
public sealed class WorkingTests(PageFixture fixture)
{
    private static Task<string> FocusedAsync(WatchedPage w) =>
        w.Page.EvaluateAsync<string>("() => { const e = document.activeElement; return (e?.id || e?.getAttribute('href') || e?.className || e?.tagName || '') + '|' + (e?.innerText ?? '').slice(0, 40); }");

    /// <summary>Presses Tab until the focus is on what matches.</summary>
    private static async Task TabToAsync(WatchedPage w, string selector)
    {
        for (int i = 0; i < 120; i++)
        {
            await w.Page.Keyboard.PressAsync("Tab");
            if (await w.Page.EvaluateAsync<bool>("s => document.activeElement?.matches(s) ?? false", selector))
            {
                // What has the focus shows it.
                Assert.NotEqual("none", await w.Page.EvaluateAsync<string>("() => getComputedStyle(document.activeElement).outlineStyle"));
                return;
            }
        }

        Assert.Fail($"Tab never reached {selector}; it stands on {await FocusedAsync(w)}");
    }

    [Fact]
    public async Task TheKeyboardAloneReachesEverything()
    {
        var w = await fixture.NewPageAsync();
        await w.Page.GotoAsync(fixture.Address + "/season");
        await TabToAsync(w, "a.skip");
        await TabToAsync(w, $"a[href='{new Uri(fixture.Demo).AbsolutePath}']");
        await w.Page.Keyboard.PressAsync("Enter");
        await w.ShownAsync();
        await TabToAsync(w, "#play");
        await w.Page.Keyboard.PressAsync("Enter");
        await w.UntilAsync("() => window.stakeboat.clock.playing");
        await w.Page.Keyboard.PressAsync("Enter");
        await w.UntilAsync("() => !window.stakeboat.clock.playing");
        await w.Page.Keyboard.PressAsync("Home");
        double t = await w.Page.EvaluateAsync<double>("() => window.stakeboat.clock.t");
        await w.Page.Keyboard.PressAsync(".");
        Assert.NotEqual(t, await w.Page.EvaluateAsync<double>("() => window.stakeboat.clock.t"));
        await w.Page.Keyboard.PressAsync("f");
        Assert.StartsWith("#t=", await w.Page.EvaluateAsync<string>("() => document.activeElement.getAttribute('href')"));
        await TabToAsync(w, ".send-on[data-form=note]");
        await w.Page.Keyboard.PressAsync("Enter");
        await w.Page.WaitForSelectorAsync(".send-on.sent");
        await w.Page.Keyboard.PressAsync("?");
        await w.Page.WaitForSelectorAsync("#key-list[open]");
        Assert.Empty(await w.SeriousAsync());
        await w.Page.Keyboard.PressAsync("Escape");
        // A call put right: open, change, send, undo.
        await w.Page.Keyboard.PressAsync("c");
        await w.Page.WaitForSelectorAsync("#correct[open]");
        Assert.Empty(await w.SeriousAsync());
        await w.Page.Keyboard.PressAsync("Escape");
        await w.Page.Keyboard.PressAsync("e");
        await w.Page.WaitForSelectorAsync("#correct[open]");
        Assert.Empty(await w.SeriousAsync());
        await w.Page.Keyboard.PressAsync("Escape");
        // Captions that were counted unfold with the keyboard too.
        var fold = w.Page.Locator(".counted summary").First;
        await fold.FocusAsync();
        await w.Page.Keyboard.PressAsync("Enter");
        Assert.True(await w.Page.Locator(".counted details[open] .cue").First.IsVisibleAsync());
        Assert.Empty(w.Errors);
    }

    [Fact]
    public async Task CrewLaneDistanceStartAndClocksArePutRightOnThePageAndUndone()
    {
        var w = await fixture.NewPageAsync();
        await w.Page.GotoAsync(fixture.Address + "/new");
        await w.Page.Locator("[name=name]").FillAsync("Put right");
        await w.DropRaceAsync("masters-1000", n => !n.EndsWith(".opus", StringComparison.Ordinal));
        await w.ShownAsync();

        async Task Tried(string form, Func<ILocator, Task> fill, string said, string check)
        {
            await w.Page.EvaluateAsync("() => { const s = window.stakeboat; s.clock.seek(s.model.go + 3); }");
            await w.Page.Keyboard.PressAsync("e");
            await w.Page.WaitForSelectorAsync("#correct[open]");
            var row = w.Page.Locator("#correct form").Filter(new LocatorFilterOptions { HasText = form }).First;
            await fill(row);
            await row.GetByRole(AriaRole.Button).First.ClickAsync();
            await w.UntilAsync($"() => document.getElementById('notice').textContent.includes({System.Text.Json.JsonSerializer.Serialize(said)})");
            Assert.True(await w.Page.EvaluateAsync<bool>(check), form);
            await w.Page.Keyboard.PressAsync("u");
            await w.UntilAsync("() => document.getElementById('notice').textContent.startsWith('Undone') && document.getElementById('undo').disabled");
            Assert.False(await w.Page.EvaluateAsync<bool>(check), form + " after undo");
        }

        await Tried("The word", _ => Task.CompletedTask, "The start was at", "() => Math.abs(window.stakeboat.model.go - window.stakeboat.clock.t) < .2 && window.stakeboat.model.doc.clock.goHow === 'given'");
        await Tried("Length of the race", r => r.Locator("[name=metres]").FillAsync("1040"), "1040 m long", "() => window.stakeboat.model.doc.clock.distance === 1040");
        await Tried("Lane", async r => { await r.Locator("select").SelectOptionAsync("Grebe Island"); await r.Locator("[name=lane]").FillAsync("1"); }, "had lane 1", "() => window.stakeboat.model.doc.crews.some(c => c.name === 'Grebe Island' && c.lane === 1)");
        await Tried("Name", async r => { await r.Locator("select").SelectOptionAsync("Grebe Island"); await r.Locator("[name=is]").FillAsync("Heron Island"); }, "Grebe Island is Heron Island", "() => window.stakeboat.model.doc.crews.some(c => c.name === 'Heron Island')");
        await Tried("(and the track with it) is later", r => r.Locator("[name=shift]").FillAsync("2"), "2.00 s later", "() => window.stakeboat.model.doc.clock.maps.some(m => m.clock === 'motion' && m.how.length > 0) && document.getElementById('undo').title.includes('motion log')");
        Assert.Empty(w.Errors);
    }

    [Fact]
    public async Task TwoTabsDoNotOverwriteEachOther()
    {
        var one = await fixture.NewPageAsync();
        await one.Page.GotoAsync(fixture.Address + "/new");
        await one.DropAsync(("captions.vtt", "WEBVTT\n\n00:10.000 --> 00:12.000\nattention go\n\n00:40.000 --> 00:42.000\nwe are at thirty four\n"u8.ToArray()));
        await one.ShownAsync();
        var two = await fixture.NewPageAsync();
        await two.Page.GotoAsync(one.Page.Url);
        await two.ShownAsync();
        foreach (var tab in new[] { one, two })
        {
            await tab.Page.Keyboard.PressAsync("e");
            await tab.Page.Locator("#correct [name=metres]").FillAsync(tab == one ? "1000" : "1500");
            await tab.Page.Keyboard.PressAsync("Enter");
            await tab.UntilAsync(tab == one ? "() => document.getElementById('notice').textContent.includes('1000 m long')" : "() => document.getElementById('notice').textContent.includes('another window')");
        }

        // The second tab was told, and shows what the first had changed.
        await two.UntilAsync("() => window.stakeboat.model.doc.clock.distance === 1000");
        await two.UntilAsync("() => !document.getElementById('undo').disabled");
    }

    [Fact]
    public async Task EveryFileToTakeAlongComesDown()
    {
        var w = await fixture.NewPageAsync();
        await w.Page.GotoAsync(fixture.Demo);
        await w.ShownAsync();
        var heads = new Dictionary<string, string>
        {
            ["Report (PDF)"] = "%PDF-", ["Report for a phone (HTML)"] = "<!", ["All tables (CSV)"] = "PK", ["Line (GeoJSON)"] = "{", ["Calls as chapters (WebVTT)"] = "WEBVTT", ["Everything (JSON)"] = "{",
        };
        foreach (var (link, head) in heads)
        {
            var waiting = w.Page.WaitForDownloadAsync(new PageWaitForDownloadOptions { Timeout = 60_000 });
            await w.Page.GetByRole(AriaRole.Link, new PageGetByRoleOptions { Name = link, Exact = true }).ClickAsync();
            string path = await (await waiting).PathAsync();
            string text = System.Text.Encoding.Latin1.GetString(await File.ReadAllBytesAsync(path));
            Assert.StartsWith(head, text.TrimStart('\u00EF', '\u00BB', '\u00BF'), StringComparison.OrdinalIgnoreCase);
        }

        // The report of a rower's phone opens from its file alone.
        var phone = await fixture.NewPageAsync(390, 844);
        string html = await w.Page.EvaluateAsync<string>("async () => await (await fetch(document.querySelector('a[href$=\"report.html\"]').href)).text()");
        await phone.Page.SetContentAsync(html);
        Assert.Equal(0, await phone.Page.EvaluateAsync<int>("() => Math.max(0, document.documentElement.scrollWidth - innerWidth)"));
        Assert.True(await phone.Page.Locator("svg").CountAsync() > 0);
        Assert.Empty(await phone.SeriousAsync());
        Assert.Empty(phone.Foreign);
        Assert.Empty(phone.Errors);
    }
}
