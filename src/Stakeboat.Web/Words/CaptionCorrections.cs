using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;
using Stakeboat.Exchange.Corrections;
using Stakeboat.Readers;
using Stakeboat.Storage;
using Stakeboat.Storage.Rows;
using Stakeboat.Words;

namespace Stakeboat.Web.Words;

/// <summary>Applies what was put right of the words: lines typed anew, and which captions count.</summary>
public static class CaptionCorrections
{
    /// <returns>The outing with its lines as corrected, and which of its captions counts.</returns>
    public static (Outing Outing, int Index) Apply(Outing outing, IReadOnlyList<CorrectionDocument> corrections)
    {
        ArgumentNullException.ThrowIfNull(outing);
        ArgumentNullException.ThrowIfNull(corrections);
        CaptionTrack[] tracks = [.. outing.Captions.Select(t => Typed(t, corrections))];
        string? use = corrections.LastOrDefault(c => c.Words is not null)?.Words!.Use;
        var (brought, ours) = Sides(tracks);
        if (use == WordsCorrectionPart.Both && brought is not null && ours is not null)
        {
            return (outing with { Captions = [TwoTracks.Join(brought, ours), .. tracks] }, 0);
        }

        // Unless the person says otherwise, captions that were brought count before our own.
        int chosen = use is null ? -1 : Array.FindIndex(tracks, t => t.Name == use);
        return (outing with { Captions = tracks }, chosen >= 0 ? chosen : Math.Max(0, Array.IndexOf(tracks, brought ?? ours)));
    }

    /// <summary>The caption tracks among the files as corrected, and which counts: a file's name or <see cref="WordsCorrectionPart.Both"/>.</summary>
    public static (IReadOnlyList<CaptionTrack> Tracks, string? Use) Tracks(Store store, IReadOnlyList<FileRow> files, IReadOnlyList<CorrectionDocument> corrections)
    {
        ArgumentNullException.ThrowIfNull(store);
        string[] kinds = [".vtt", ".srt", ".txt", ".json", ".ttml", ".xml"];
        var texts = files.Where(f => kinds.Contains(Path.GetExtension(f.Name).ToLowerInvariant()) && f.Size < 50_000_000).Select(f => new OutingFile(f.Name, () => store.Vault.Open(f.Hash)));
        if (OutingFolder.Read("outing", [.. texts]).Value is not { } outing || outing.Captions.Count == 0)
        {
            return ([], null);
        }

        var (made, index) = Apply(outing, corrections);
        return made.Captions.Count > outing.Captions.Count ? ([.. made.Captions.Skip(1)], WordsCorrectionPart.Both) : (made.Captions, made.Captions[index].Name);
    }

    /// <summary>The best captions that were brought and the last that were made here.</summary>
    public static (CaptionTrack? Brought, CaptionTrack? Ours) Sides(IReadOnlyList<CaptionTrack> tracks) =>
        (tracks.FirstOrDefault(t => !WordsDesk.IsOurs(t.Name)), tracks.LastOrDefault(t => WordsDesk.IsOurs(t.Name)));

    private static CaptionTrack Typed(CaptionTrack track, IReadOnlyList<CorrectionDocument> corrections)
    {
        var lines = corrections.Select(c => c.Line).OfType<LineCorrectionPart>().Where(l => l.File == track.Name).ToList();
        if (lines.Count == 0)
        {
            return track;
        }

        var cues = track.Cues.ToList();
        foreach (var line in lines)
        {
            int at = cues.FindIndex(c => Math.Abs(c.Start.Seconds - line.At) < 0.011);
            if (at < 0)
            {
                continue;
            }

            string[] words = line.Is.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries);
            if (words.Length == 0)
            {
                cues.RemoveAt(at);
            }
            else
            {
                cues[at] = Retyped(cues[at], words);
            }
        }

        return track with { Cues = cues };
    }

    /// <summary>A line as typed: as many words as before keep their times, others share the line's time evenly. What a person typed is sure.</summary>
    private static CaptionCue Retyped(CaptionCue cue, string[] words)
    {
        string text = string.Join(' ', words);
        if (cue.Words.Count == 0)
        {
            return cue with { Text = text };
        }

        double from = cue.Start.Seconds, step = (cue.End.Seconds - from) / words.Length;
        return cue with
        {
            Text = text,
            Words = words.Length == cue.Words.Count
                ? [.. cue.Words.Select((w, i) => w.Text == words[i] ? w : w with { Text = words[i], Probability = 1, Alternatives = null })]
                : [.. words.Select((w, i) => new CaptionWord(w, Instant<RecordingClock>.FromSeconds(from + i * step), Instant<RecordingClock>.FromSeconds(from + (i + 1) * step), 1))],
        };
    }
}
