namespace Stakeboat.Readers.Captions;

/// <summary>
/// Captions that roll up: each cue shows the line before once more above its own. What a cue repeats of the cue before, whole lines at its beginning, is
/// taken off, so that nothing counts as said twice. A person may well say the same words again: so a line counts as repeated only when the cues touch
/// and at least a third of the file's cues do so.
/// </summary>
internal static class RollUp
{
    /// <summary>Cues no further apart than this touch, s.</summary>
    private const double Touch = 0.05;

    /// <summary>A cue that brings nothing new is a repetition only where it merely flashes up, s; else the words were said again.</summary>
    private const double Flash = 0.2;

    public static List<(int Line, double Start, double End, string Raw)> TakeOff(List<(int Line, double Start, double End, string Raw)> cues, IssueLog log)
    {
        var left = new List<(int Line, double Start, double End, string Raw)>(cues.Count);
        int repeats = 0;
        string[] before = [];
        double end = double.NegativeInfinity;
        foreach (var c in cues)
        {
            string[] lines = [.. c.Raw.Split('\n').Where(l => !string.IsNullOrWhiteSpace(l))];
            int same = 0;
            if (c.Start - end <= Touch)
            {
                same = Shared(before, lines);
                same = same == lines.Length && c.End - c.Start > Flash ? 0 : same;
            }

            repeats += same > 0 ? 1 : 0;
            if (same < lines.Length || lines.Length == 0)
            {
                left.Add(c with { Raw = string.Join('\n', lines.Skip(same)) });
            }

            before = lines;
            end = c.End;
        }

        if (repeats < 2 || repeats * 3 < cues.Count)
        {
            return cues;
        }

        log.Add(Severity.Note, "", "A cue repeats the line of the cue before, as captions do that roll up.", "The repetition was taken off.", repeats);
        return left;
    }

    // How many lines at the end of the one are the lines at the beginning of the other, tags aside.
    private static int Shared(string[] before, string[] lines)
    {
        for (int n = Math.Min(before.Length, lines.Length); n > 0; n--)
        {
            bool same = true;
            for (int i = 0; i < n && same; i++)
            {
                same = CueText.Cue(0, 0, before[before.Length - n + i]).Text == CueText.Cue(0, 0, lines[i]).Text;
            }

            if (same)
            {
                return n;
            }
        }

        return 0;
    }
}
