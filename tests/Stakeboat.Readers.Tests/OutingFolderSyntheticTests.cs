using Stakeboat.Core.Measurement;

namespace Stakeboat.Readers.Tests;

/// <summary>The labelled races of data/corpus; counts were taken with grep and wc on the files themselves.</summary>
public class OutingFolderSyntheticTests
{
    public static TheoryData<string, string, int, int, int, int, int, bool> Folders => new()
    {
        // folder, first captions, caption files, cues (or words, where timed) of the first, fixes, motion samples, result rows, sound
        { "autumn-lake-8", "captions.txt", 2, 30, 623, 0, 3, true },
        { "dual-8", "words.json", 3, 829, 466, 23287, 2, true },
        { "estuary-4", "captions.srt", 1, 139, 0, 0, 4, false },
        { "long-river-head", "captions.srt", 1, 249, 1112, 0, 0, false },
        { "masters-1000", "words.json", 3, 651, 1598, 15973, 4, true },
        { "practice-morning", "words.json", 3, 1129, 0, 0, 0, true },
        { "school-quad-1500", "captions.txt", 1, 25, 0, 0, 0, false },
        { "spring-canal-8w", "captions.vtt", 1, 117, 2775, 0, 5, false },
    };

    [Theory]
    [MemberData(nameof(Folders))]
    public void Every_corpus_folder_is_read_whole(string folder, string first, int captionFiles, int cues, int fixes, int samples, int rows, bool sound)
    {
        var reading = OutingFolder.Read(Repo.Corpus(folder));
        var o = Assert.IsType<Outing>(reading.Value);
        Assert.True(reading.Issues.All(i => i.Severity != Severity.Error), string.Join("\n", reading.Issues));
        Assert.Equal(folder, o.Name);
        Assert.NotNull(o.Sheet);
        Assert.Equal(captionFiles, o.Captions.Count);
        Assert.Equal(first, o.Captions[0].Name);
        if (cues > 0)
        {
            Assert.Equal(cues, o.Captions[0].Timing == CaptionTiming.Words ? o.Captions[0].Cues.Sum(c => c.Words.Count) : o.Captions[0].Cues.Count);
        }

        Assert.Equal(fixes, o.Tracks.Sum(t => t.Fixes.Count));
        Assert.Equal(samples, o.Motions.Sum(m => m.Count));
        Assert.Equal(rows, o.Result?.Rows.Count ?? 0);
        Assert.Equal(sound, o.Sound is { DurationSeconds: > 100 });
    }
}
