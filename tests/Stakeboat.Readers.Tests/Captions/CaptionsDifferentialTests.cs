using System.Net;
using System.Text.Json;

namespace Stakeboat.Readers.Tests.Captions;

/// <summary>Against python3-webvtt 0.4.6 and python3-srt 3.5.2: oracles/readers/captions.py.</summary>
public class CaptionsDifferentialTests
{
    private static readonly JsonElement s_files = JsonDocument.Parse(File.ReadAllBytes(Repo.Oracle("captions.json"))).RootElement.GetProperty("files");

    public static TheoryData<string> Files => [.. s_files.EnumerateObject().Select(p => p.Name)];

    [Theory]
    [MemberData(nameof(Files))]
    public void Cues_agree(string file)
    {
        using var s = File.OpenRead(Path.Combine(Repo.Root, file));
        var cues = FileDoor.Open(s, file).Value!.Captions!.Cues;
        var theirs = s_files.GetProperty(file);
        Assert.Equal(theirs.GetArrayLength(), cues.Count);
        for (int i = 0; i < cues.Count; i++)
        {
            Assert.Equal(theirs[i][0].GetDouble(), cues[i].Start.Seconds, 6);
            Assert.Equal(theirs[i][1].GetDouble(), cues[i].End.Seconds, 6);
            Assert.Equal(WebUtility.HtmlDecode(theirs[i][2].GetString()), cues[i].Text); // their WebVTT leaves "&amp;" standing
        }
    }
}
