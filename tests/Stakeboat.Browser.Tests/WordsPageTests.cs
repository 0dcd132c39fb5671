using Microsoft.Playwright;

namespace Stakeboat.Browser.Tests;

/// <summary>
/// From a recording to words on the page. The recogniser is a stand-in command that says so: it answers the same few words for each stretch,
/// slowly enough to be watched and stopped.
/// </summary>
public sealed class WordsPageTests(PageFixture fixture) : IClassFixture<PageFixture>
{
    /// <summary>Answers after a third of a second with words that depend on nothing that is in the sound.</summary>
    private async Task StandInAsync()
    {
        string script = Path.Combine(fixture.Data, "stand-in.sh");
        await File.WriteAllTextAsync(script, "#!/bin/sh\nsleep 0.33\nprintf 'up 0.1 0.3 0.9\\ntwo 0.3 0.5 0.4\\nseats 0.5 0.7 0.9\\n'\n");
        await File.WriteAllTextAsync(Path.Combine(fixture.Data, "recognisers.txt"), $"stand-in | sh {script} {{wav}} | words\n");
    }

    /// <summary>A minute with a hummed syllable train every six seconds, and captions of another program for its middle.</summary>
    private static string[] Files()
    {
        string folder = Directory.CreateTempSubdirectory("stakeboat-words-test-").FullName;
        const int rate = 16000, seconds = 60;
        using (var wav = new BinaryWriter(File.Create(Path.Combine(folder, "outing.wav"))))
        {
            wav.Write("RIFF"u8);
            wav.Write(36 + 2 * rate * seconds);
            wav.Write("WAVEfmt "u8);
            wav.Write(16);
            wav.Write((short)1);
            wav.Write((short)1);
            wav.Write(rate);
            wav.Write(2 * rate);
            wav.Write((short)2);
            wav.Write((short)16);
            wav.Write("data"u8);
            wav.Write(2 * rate * seconds);
            var random = new Random(3);
            for (int i = 0; i < rate * seconds; i++)
            {
                double t = i / (double)rate, on = t % 6 < 2.4 && t % 0.6 < 0.4 ? 1 : 0, phase = 2 * Math.PI * 180 * (t + 0.012 * Math.Sin(2 * Math.PI * 2.3 * t));
                wav.Write((short)(on * 6000 * (Math.Sin(phase) + Math.Sin(4 * phase)) + 20 * (random.NextDouble() - 0.5)));
            }
        }

        File.WriteAllText(Path.Combine(folder, "captions.vtt"), "WEBVTT\n\n00:00:18.000 --> 00:00:20.000\nup to seats\n\n00:00:24.000 --> 00:00:26.000\nlevel now\n");
        return [Path.Combine(folder, "outing.wav"), Path.Combine(folder, "captions.vtt")];
    }

    [Fact]
    public async Task ARecordingIsDroppedWordsAppearAreStoppedChosenAndPutRight()
    {
        await StandInAsync();
        var w = await fixture.NewPageAsync();
        var page = w.Page;
        page.SetDefaultTimeout(120_000);
        await page.GotoAsync(fixture.Address + "/new");
        await page.SetInputFilesAsync("#files", Files());
        await page.ClickAsync("#send");
        await page.WaitForURLAsync("**/outings/*");
        await page.ClickAsync(".to-words a");
        await page.WaitForURLAsync("**/words");

        // Begun, seen to arrive, stopped: within a second the page says so, and nothing more arrives.
        await page.CheckAsync("[name=recogniser][value=stand-in]");
        await page.ClickAsync("#begin");
        await page.WaitForFunctionAsync("() => document.querySelectorAll('#heard li').length >= 1");
        await page.ClickAsync("#stop");
        await page.WaitForFunctionAsync("() => document.getElementById('words').dataset.state === 'stopped'");
        Assert.Contains("Stopped. What was heard is kept", await page.InnerTextAsync("#notice"));

        // Begun again: the rest is done, and the words stand beside the captions that were brought.
        await page.ClickAsync("#begin");
        await page.WaitForSelectorAsync("[name=use][value='words heard here.json']", new PageWaitForSelectorOptions { Timeout = 120_000 });
        Assert.Equal("captions.vtt", await page.Locator("[name=use]:checked").GetAttributeAsync("value"));
        Assert.Equal(10, await page.Locator(".line[data-file='words heard here.json']").CountAsync());
        Assert.Equal(2, await page.Locator(".line[data-file='captions.vtt']").CountAsync());
        Assert.Equal("two", (await page.Locator(".line .unsure").First.InnerTextAsync()).Trim());
        await PictureAsync(page, "words-1440");

        // The person takes both, and types one line anew.
        await page.CheckAsync("[name=use][value=both]");
        await page.WaitForFunctionAsync("() => document.getElementById('notice').textContent.includes('Both captions count.')", null, new PageWaitForFunctionOptions { Timeout = 120_000 });
        await page.Locator(".line[data-file='words heard here.json']").First.ClickAsync();
        await page.FillAsync(".retype input", "up three seats");
        await page.Keyboard.PressAsync("Enter");
        await page.WaitForFunctionAsync("() => document.getElementById('notice').textContent.includes('\"up three seats\" was said')", null, new PageWaitForFunctionOptions { Timeout = 120_000 });
        await page.ReloadAsync();
        Assert.Equal("both", await page.Locator("[name=use]:checked").GetAttributeAsync("value"));
        Assert.Equal("up three seats", (await page.Locator(".line[data-file='words heard here.json']").First.InnerTextAsync()).Trim());
        Assert.Empty(await w.SeriousAsync());
        await page.SetViewportSizeAsync(390, 844);
        Assert.Equal(0, await page.EvaluateAsync<int>("() => Math.max(0, document.documentElement.scrollWidth - innerWidth)"));
        await PictureAsync(page, "words-390");

        // On to the calls: the debrief was made from both.
        await page.ClickAsync(".on-to");
        await page.WaitForURLAsync(u => !u.EndsWith("/words", StringComparison.Ordinal));
        await page.WaitForFunctionAsync("() => [...document.querySelectorAll('.cue .said')].some(c => c.textContent.includes('up three seats'))", null, new PageWaitForFunctionOptions { Timeout = 120_000 });
        Assert.Empty(w.Foreign);
        Assert.Empty(w.Errors);
    }

    private static async Task PictureAsync(IPage page, string name)
    {
        if (Environment.GetEnvironmentVariable("STAKEBOAT_PICTURES") is { Length: > 0 } folder)
        {
            await page.ScreenshotAsync(new PageScreenshotOptions { Path = Path.Combine(folder, name + ".png"), FullPage = true });
        }
    }
}
