using System.Text.Json;
using Stakeboat.Core.Strokes;
using Stakeboat.Readers.Sound;

namespace Stakeboat.Cli.Tests;

/// <summary>The rate from the sound of the labelled recordings alone, against their truth.</summary>
public class SoundRateTests
{
    [Theory]
    [InlineData("autumn-lake-8")]
    [InlineData("dual-8")]
    public void NineReadingsInTenAreRight(string folder)
    {
        using var stream = File.OpenRead(Path.Combine(Cli.Corpus(folder), "recording.opus"));
        var onsets = OnsetReader.Read(stream, "recording.opus").Value!;
        using var truth = JsonDocument.Parse(File.ReadAllText(Path.Combine(Cli.Corpus(folder), "truth.json")));
        var own = truth.RootElement.GetProperty("own").EnumerateArray().Select(o => (T: o.GetProperty("t").GetDouble(), Rate: o.GetProperty("rate").GetDouble())).ToList();
        int all = 0, right = 0;
        foreach (var r in SoundRate.Find(onsets.Values, onsets.Hz, onsets.StartSeconds))
        {
            int i = own.FindIndex(o => o.T >= r.Seconds);
            if (i > 0)
            {
                double rate = own[i - 1].Rate + ((own[i].Rate - own[i - 1].Rate) * (r.Seconds - own[i - 1].T) / (own[i].T - own[i - 1].T));
                all++;
                right += Math.Abs(r.Rate.Mean - rate) < 1.5 ? 1 : 0;
            }
        }

        Assert.True(all > 150 && right >= 0.9 * all, $"{right} of {all}");
    }
}
