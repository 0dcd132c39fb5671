using System.Diagnostics;
using Microsoft.Playwright;

namespace Stakeboat.Browser.Tests;

/// <summary>A server process of our own on a fresh data folder, and one browser.</summary>
public sealed class PageFixture : IAsyncLifetime
{
    private readonly string _data = Directory.CreateTempSubdirectory("stakeboat-browser-").FullName;

    /// <summary>The server's data folder.</summary>
    public string Data => _data;

    private Process? _server;
    private IPlaywright? _playwright;

    public IBrowser Browser { get; private set; } = null!;

    public string Address { get; private set; } = "";

    /// <summary>Where the first visit leads.</summary>
    public string Demo { get; private set; } = "";

    public static string Root
    {
        get
        {
            string? at = AppContext.BaseDirectory;
            while (at is not null && !File.Exists(Path.Combine(at, "Stakeboat.slnx")))
            {
                at = Path.GetDirectoryName(at);
            }

            return at ?? throw new InvalidOperationException("The repository was not found above the tests.");
        }
    }

    public async ValueTask InitializeAsync()
    {
        var start = new ProcessStartInfo("dotnet") { RedirectStandardOutput = true, UseShellExecute = false, WorkingDirectory = Path.GetTempPath() };
        foreach (string a in new[] { Path.Combine(AppContext.BaseDirectory, "Stakeboat.Web.dll"), "--data", _data, "--port", "0" })
        {
            start.ArgumentList.Add(a);
        }

        _server = Process.Start(start)!;
        using var patience = new CancellationTokenSource(TimeSpan.FromSeconds(90));
        string? line;
        do
        {
            line = await _server.StandardOutput.ReadLineAsync(patience.Token) ?? throw new InvalidOperationException("The server ended at once.");
        }
        while (!line.StartsWith("Stakeboat is at ", StringComparison.Ordinal));
        Address = line.Split(' ')[3];
        using var client = new HttpClient(new HttpClientHandler { AllowAutoRedirect = false });
        using var first = await client.GetAsync(new Uri(Address + "/"));
        Demo = first.Headers.Location?.ToString() ?? throw new InvalidOperationException("The first visit did not open the demo race.");
        _playwright = await Playwright.CreateAsync();
        Browser = await _playwright.Chromium.LaunchAsync(new BrowserTypeLaunchOptions
        {
            ExecutablePath = "/usr/bin/chromium", Timeout = 60_000,
            Args = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--autoplay-policy=no-user-gesture-required"],
        });
    }

    public async ValueTask DisposeAsync()
    {
        if (Browser is not null)
        {
            await Browser.CloseAsync();
        }

        _playwright?.Dispose();
        _server?.Kill(entireProcessTree: true);
        _server?.WaitForExit(10_000);
        _server?.Dispose();
        Directory.Delete(_data, recursive: true);
    }

    /// <summary>A page that records every address asked for and every error that it met.</summary>
    public async Task<WatchedPage> NewPageAsync(int width = 1440, int height = 900, ColorScheme scheme = ColorScheme.Light, bool still = true)
    {
        var context = await Browser.NewContextAsync(new BrowserNewContextOptions
        {
            ViewportSize = new ViewportSize { Width = width, Height = height }, ColorScheme = scheme,
            ReducedMotion = still ? ReducedMotion.Reduce : ReducedMotion.NoPreference, AcceptDownloads = true,
        });
        context.SetDefaultTimeout(30_000);
        var page = await context.NewPageAsync();
        return new WatchedPage(page, this);
    }
}

/// <summary>One server and one browser for all of the suite, one test after another: two cores draw one page well.</summary>
[CollectionDefinition(Name)]
public sealed class OneBrowser : ICollectionFixture<PageFixture>
{
    public const string Name = "one browser";
}

/// <summary>A page with what it asked for and what went wrong on it.</summary>
public sealed class WatchedPage
{
    public WatchedPage(IPage page, PageFixture fixture)
    {
        Page = page;
        page.Request += (_, r) => { if (!r.Url.StartsWith(fixture.Address, StringComparison.Ordinal) && !r.Url.StartsWith("data:", StringComparison.Ordinal) && !r.Url.StartsWith("blob:", StringComparison.Ordinal)) { Foreign.Add(r.Url); } };
        page.PageError += (_, e) => Errors.Add(e);
        page.Console += (_, m) => { if (m.Type == "error" && !m.Text.Contains("status of 4", StringComparison.Ordinal)) { Errors.Add(m.Text); } };
    }

    public IPage Page { get; }

    public List<string> Foreign { get; } = [];

    public List<string> Errors { get; } = [];

    /// <summary>Drops files on the page as a hand does.</summary>
    public async Task DropAsync(params IEnumerable<(string Name, byte[] Bytes)> files)
    {
        var given = files.Select(f => new { name = f.Name, text = Convert.ToBase64String(f.Bytes) }).ToArray();
        var transfer = await Page.EvaluateHandleAsync("""
            files => { const d = new DataTransfer(); for (const f of files) d.items.add(new File([Uint8Array.from(atob(f.text), c => c.charCodeAt(0))], f.name)); return d; }
            """, given);
        foreach (string kind in new[] { "dragenter", "dragover", "drop" })
        {
            await Page.DispatchEventAsync("#drop", kind, new { dataTransfer = transfer });
        }
    }

    /// <summary>Drops a labelled race, without its truth.</summary>
    public Task DropRaceAsync(string folder, Func<string, bool>? which = null) => DropAsync(
        Directory.EnumerateFiles(Path.Combine(PageFixture.Root, "data/corpus", folder)).Where(f => Path.GetFileName(f) is not ("truth.json" or "calls.jsonl"))
            .Where(f => which?.Invoke(Path.GetFileName(f)) != false).Order(StringComparer.Ordinal).Select(f => (Path.GetFileName(f), File.ReadAllBytes(f))));

    /// <summary>Waits until a script's answer is true.</summary>
    public Task UntilAsync(string script, float seconds = 120) => Page.WaitForFunctionAsync(script, null, new PageWaitForFunctionOptions { Timeout = 1000 * seconds });

    /// <summary>Waits until the race page has drawn its debrief.</summary>
    public Task ShownAsync() => Page.WaitForSelectorAsync("#race[data-shown=yes]", new PageWaitForSelectorOptions { Timeout = 300_000 });

    /// <summary>Serious and critical findings of axe, a line each.</summary>
    public async Task<string[]> SeriousAsync()
    {
        await Page.EvaluateAsync(await File.ReadAllTextAsync(Path.Combine(PageFixture.Root, "tests/Stakeboat.Browser.Tests/vendor/axe.min.js")));
        return await Page.EvaluateAsync<string[]>("async () => (await axe.run()).violations.filter(v => v.impact === 'serious' || v.impact === 'critical').flatMap(v => v.nodes.map(n => v.id + ': ' + n.target + ' ' + n.failureSummary))");
    }
}
