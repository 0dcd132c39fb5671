using System.Diagnostics;
using System.Text.RegularExpressions;

namespace Stakeboat.Web.Tests;

/// <summary>What the guide and the README tell a person to type or press is true: options exist, keys exist, pictures are there, snippets run.</summary>
public sealed partial class GuideTests
{
    [GeneratedRegex(@"!\[[^\]]*\]\(([^)]+)\)")]
    private static partial Regex Pictures();

    [GeneratedRegex(@"\[[^\]]*\]\((?!https?:|#)([^)#]+)[^)]*\)")]
    private static partial Regex Links();

    [GeneratedRegex(@"(--[a-z][a-z-]+)")]
    private static partial Regex Options();

    [GeneratedRegex(@"```text plan\n(?<plan>.*?)```", RegexOptions.Singleline)]
    private static partial Regex Plans();

    [GeneratedRegex(@"`dotnet run --project src/Stakeboat\.(Web|Cli)(?: --)?([^`]*)`")]
    private static partial Regex Commands();

    private static IEnumerable<string> Pages => Directory.EnumerateFiles(Path.Combine(ServerFixture.Root, "docs/guide"), "*.md").Append(Path.Combine(ServerFixture.Root, "README.md"));

    [Fact]
    public void EveryPictureAndEveryLinkIsThere()
    {
        foreach (string page in Pages)
        {
            string text = File.ReadAllText(page);
            foreach (string to in Pictures().Matches(text).Concat(Links().Matches(text)).Select(m => m.Groups[1].Value))
            {
                Assert.True(Path.Exists(Path.Combine(Path.GetDirectoryName(page)!, to)), $"{Path.GetFileName(page)} names {to}, which is not there.");
            }
        }
    }

    [Fact]
    public void EveryOptionOfTheServerThatIsNamedExists()
    {
        int seen = 0;
        foreach (Match command in Pages.SelectMany(p => Commands().Matches(File.ReadAllText(p))).Where(m => m.Groups[1].Value == "Web"))
        {
            foreach (Match option in Options().Matches(command.Groups[2].Value))
            {
                Assert.Contains(option.Value, StartOptions.Help);
                seen++;
            }
        }

        Assert.True(seen > 0, "The guide names no option of the server.");
    }

    [Fact]
    public void EveryKeyThatTheGuideNamesIsListedOnThePage()
    {
        string page = File.ReadAllText(Path.Combine(ServerFixture.Root, "src/Stakeboat.Web/Pages/RacePage.razor"));
        string guide = File.ReadAllText(Path.Combine(ServerFixture.Root, "docs/guide/README.md"));
        var listed = Regex.Matches(page, "<dt>(?<keys>[^<]+)</dt>", RegexOptions.None, TimeSpan.FromSeconds(5)).SelectMany(m => m.Groups[1].Value.Split(' ')).ToHashSet(StringComparer.Ordinal);
        var keys = Regex.Matches(guide, "`(?<key>[a-z,.?])`", RegexOptions.None, TimeSpan.FromSeconds(5)).Select(m => m.Groups[1].Value).Distinct().ToList();
        Assert.True(keys.Count > 8);
        Assert.All(keys, k => Assert.Contains(k, listed));
    }

    [Fact]
    public void ThePlansInTheGuideCompile()
    {
        var plans = Pages.SelectMany(p => Plans().Matches(File.ReadAllText(p))).Select(m => m.Groups[1].Value).ToList();
        Assert.NotEmpty(plans);
        Assert.All(plans, p => Assert.DoesNotContain(Core.Plans.PlanCompiler.Compile(p).Issues, i => i.Severity == Core.Plans.PlanSeverity.Error));
    }

    [Fact]
    public async Task TheFirstCommandOfTheGuideStartsTheProgram()
    {
        Assert.Contains(Commands().Matches(await File.ReadAllTextAsync(Path.Combine(ServerFixture.Root, "docs/guide/README.md"))), m => m.Groups[1].Value == "Web" && m.Groups[2].Value.Length == 0);
        var start = new ProcessStartInfo("dotnet") { RedirectStandardOutput = true, UseShellExecute = false };
        start.ArgumentList.Add(Path.Combine(AppContext.BaseDirectory, "Stakeboat.Web.dll"));
        start.ArgumentList.Add("--help");
        using var help = Process.Start(start)!;
        string said = await help.StandardOutput.ReadToEndAsync();
        await help.WaitForExitAsync();
        Assert.Equal(0, help.ExitCode);
        Assert.Contains("--data", said);
    }
}
