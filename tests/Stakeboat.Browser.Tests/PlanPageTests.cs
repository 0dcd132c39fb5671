using System.Globalization;
using System.Text;
using Microsoft.Playwright;

namespace Stakeboat.Browser.Tests;

public sealed class PlanPageTests(PageFixture fixture) : IClassFixture<PageFixture>
{
    private const string Rival = "race Wyndrush\nboat 8+\ndistance 2000 m\npace 1:33\nrate 37\nhigh 30 strokes at 44\nsettle 5 strokes\nbase";

    private async Task<WatchedPage> OpenAsync(int width = 1440, ColorScheme scheme = ColorScheme.Light)
    {
        var w = await fixture.NewPageAsync(width, width > 1000 ? 900 : 844, scheme);
        await w.Page.GotoAsync(fixture.Address + "/plan", new PageGotoOptions { Timeout = 90_000 });
        return w;
    }

    private static Task AnswerAsync(WatchedPage w, string text) =>
        w.Page.WaitForFunctionAsync("t => document.getElementById('plan-look').innerText.includes(t)", text, new PageWaitForFunctionOptions { Timeout = 60_000 });

    [Theory]
    [InlineData(1440, ColorScheme.Light)]
    [InlineData(1440, ColorScheme.Dark)]
    [InlineData(390, ColorScheme.Light)]
    [InlineData(390, ColorScheme.Dark)]
    public async Task TheEditorIsCleanAtEveryWidthAndInBothSchemes(int width, ColorScheme scheme)
    {
        var w = await OpenAsync(width, scheme);
        await w.Page.Locator("summary", new PageLocatorOptions { HasText = "Rivals" }).ClickAsync();
        await w.Page.Locator("#beside-1").FillAsync(Rival);
        await AnswerAsync(w, "If everyone rowed as written");
        Assert.Equal(4, await w.Page.Locator(".plan-chart").CountAsync());
        Assert.Equal(2, await w.Page.Locator(".plan-chart").First.Locator("polyline").CountAsync());
        Assert.Equal(0, await w.Page.EvaluateAsync<int>("() => Math.max(0, document.documentElement.scrollWidth - innerWidth)"));
        if (Environment.GetEnvironmentVariable("STAKEBOAT_PICTURES") is { Length: > 0 } folder)
        {
            await w.Page.ScreenshotAsync(new PageScreenshotOptions { Path = Path.Combine(folder, $"plan-{width}-{scheme.ToString().ToLowerInvariant()}.png"), FullPage = true });
        }

        Assert.Empty(await w.SeriousAsync());
        Assert.Empty(w.Foreign);
        Assert.Empty(w.Errors);
    }

    [Fact]
    public async Task ThePriceFollowsTheKeysAndErrorsNameTheirLine()
    {
        var w = await OpenAsync();
        var area = w.Page.Locator("#plan-text");
        string finish = await w.Page.Locator("#plan-look td.n").First.InnerTextAsync();
        string text = await area.InputValueAsync();
        await area.FillAsync(text.Replace("pace     1:34", "pace     1:36", StringComparison.Ordinal));
        await w.Page.WaitForFunctionAsync("t => document.querySelector('#plan-look td.n').innerText !== t", finish, new PageWaitForFunctionOptions { Timeout = 60_000 });
        await area.FillAsync("boat 8+\ndistance 2000 m\npace 1:30\nrate 36\nlift 0 %\ngo rolling\nbase\nsprint 30 strokes last 300 m at 38, 40, 42");
        await AnswerAsync(w, "30 strokes is 250 m at this rate, not 300");
        Assert.Contains("line 8", await w.Page.Locator(".plan-issues").InnerTextAsync());

        // The crew's own efforts change the sentence on its energy, and refusals say why.
        await area.FillAsync("boat 8+\ndistance 2000 m\npace 1:34\nrate 35\nefforts 470 W 2:00, 400 W 4:00, 372 W 8:00\nbase\nwhen they move: ten at 38");
        await AnswerAsync(w, "fitted to its best efforts");
        await AnswerAsync(w, "If they move");
        await area.FillAsync("boat 8+\ndistance 2000 m\npace 1:34\nrate 35\nefforts 470 W 2:00\nbase");
        await AnswerAsync(w, "at least three best efforts");
        Assert.Empty(w.Errors);
    }

    [Fact]
    public async Task PapersArePrintedFromTheTextAsTyped()
    {
        var w = await OpenAsync();
        var download = await w.Page.RunAndWaitForDownloadAsync(() => w.Page.Locator("button", new PageLocatorOptions { HasText = "Deck card" }).ClickAsync(), new PageRunAndWaitForDownloadOptions { Timeout = 60_000 });
        string path = await download.PathAsync();
        Assert.Equal("%PDF", Encoding.ASCII.GetString((await File.ReadAllBytesAsync(path))[..4]));
        var sheet = await w.Page.Context.RunAndWaitForPageAsync(() => w.Page.Locator("button", new PageLocatorOptions { HasText = "Papers as a page" }).ClickAsync());
        await sheet.WaitForSelectorAsync(".card");
        Assert.Equal(3, await sheet.Locator(".paper").CountAsync());

        // The fonts inside are used, not the machine's.
        await sheet.EvaluateAsync("() => document.fonts.ready");
        Assert.True(await sheet.EvaluateAsync<bool>("() => [...document.fonts].some(f => f.family.includes('card') && f.status === 'loaded')"));
    }

    [Fact]
    public async Task ACrewsOwnSpeedComesFromAnOutingInTheStore()
    {
        var w = await fixture.NewPageAsync();
        await w.Page.GotoAsync(fixture.Address + "/new");
        await w.Page.Locator("#files").SetInputFilesAsync(new FilePayload { Name = "reach.gpx", MimeType = "application/gpx+xml", Buffer = Encoding.UTF8.GetBytes(OutAndBack()) });
        await w.Page.Locator("[name=name]").FillAsync("Reach out and back");
        await w.Page.Locator("#send").ClickAsync();
        await w.ShownAsync();
        await w.Page.GotoAsync(fixture.Address + "/plan");
        await w.Page.Locator("summary", new PageLocatorOptions { HasText = "own speed" }).ClickAsync();

        // Nothing ticked: a sentence, not a silence.
        await w.Page.Locator("#learn").ClickAsync();
        await w.Page.WaitForFunctionAsync("() => document.getElementById('crew-look').innerText.includes('Tick at least one')", null, new PageWaitForFunctionOptions { Timeout = 60_000 });
        await w.Page.Locator("label", new PageLocatorOptions { HasText = "Reach out and back" }).ClickAsync();
        await w.Page.Locator("#learn").ClickAsync();
        await w.Page.WaitForSelectorAsync("#take-lines", new PageWaitForSelectorOptions { Timeout = 60_000 });
        Assert.Contains("1 back", await w.Page.Locator("#crew-look").InnerTextAsync());

        // 5.35 m/s with 0.2 m/s of stream on the way out and against it on the way back: 1:33.5.
        string lines = await w.Page.Locator("#crew-lines").InnerTextAsync();
        Assert.Matches("reference 1:3[23]\\.\\d ± ", lines);
        await w.Page.Locator("#take-lines").ClickAsync();
        Assert.Contains("reference 1:3", await w.Page.Locator("#plan-text").InputValueAsync());
        Assert.DoesNotContain("pace ", await w.Page.Locator("#plan-text").InputValueAsync());
        await AnswerAsync(w, "What it costs");
        Assert.Empty(await w.SeriousAsync());
        Assert.Empty(w.Errors);
    }

    /// <summary>A fix a second on an invented reach: 150 s out at 5.55 m/s, a rest, 150 s back at 5.15 m/s, with half a metre of noise.</summary>
    private static string OutAndBack()
    {
        var b = new StringBuilder("<?xml version=\"1.0\"?>\n<gpx version=\"1.1\" creator=\"stakeboat test\" xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>\n");
        var random = new Random(5);
        double at = 0;
        for (int t = 0; t < 480; t++)
        {
            double speed = t is > 30 and <= 180 ? 5.55 : t is > 260 and <= 410 ? -5.15 : 0;
            at += speed;
            double north = at + (random.NextDouble() - 0.5) * 0.8;
            string time = DateTimeOffset.FromUnixTimeSeconds(1778911200 + t).UtcDateTime.ToString("yyyy-MM-ddTHH:mm:ssZ", CultureInfo.InvariantCulture);
            b.Append(CultureInfo.InvariantCulture, $"<trkpt lat=\"{46.7312 + north / 111_190:0.0000000}\" lon=\"-31.2486000\"><time>{time}</time></trkpt>\n");
        }

        return b.Append("</trkseg></trk></gpx>\n").ToString();
    }
}
