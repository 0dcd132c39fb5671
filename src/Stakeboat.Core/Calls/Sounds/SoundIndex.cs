namespace Stakeboat.Core.Calls.Sounds;

/// <summary>A word or phrase that sounds like something heard.</summary>
public readonly record struct SoundMatch(int Entry, double Distance);

/// <summary>
/// Finds entries whose sounds are near a heard sound string: the entries stand in a tree by sound, and one row of the weighted edit
/// distance is carried down each branch until no cell is cheap enough.
/// </summary>
public sealed class SoundIndex
{
    private sealed class Branch
    {
        public char[] Sounds = [];
        public int[] Next = [];
        public int[] Entries = [];
    }

    private readonly List<Branch> _branches = [new()];
    private readonly List<string> _sounds = [];

    public int Count => _sounds.Count;

    public string SoundsOf(int entry) => _sounds[entry];

    /// <summary>Adds an entry and returns its number.</summary>
    public int Add(string sounds)
    {
        ArgumentNullException.ThrowIfNull(sounds);
        int at = 0;
        foreach (char c in sounds)
        {
            var branch = _branches[at];
            int k = Array.IndexOf(branch.Sounds, c);
            if (k < 0)
            {
                _branches.Add(new Branch());
                branch.Sounds = [.. branch.Sounds, c];
                branch.Next = [.. branch.Next, _branches.Count - 1];
                k = branch.Sounds.Length - 1;
            }

            at = branch.Next[k];
        }

        _branches[at].Entries = [.. _branches[at].Entries, _sounds.Count];
        _sounds.Add(sounds);
        return _sounds.Count - 1;
    }

    /// <summary>Entries within <paramref name="limit"/> of the heard sounds, nearest first, at most <paramref name="most"/>.</summary>
    public List<SoundMatch> Near(string heard, double limit, int most)
    {
        ArgumentNullException.ThrowIfNull(heard);
        var found = new List<SoundMatch>();
        var row = new float[heard.Length + 1];
        for (int j = 1; j <= heard.Length; j++)
        {
            row[j] = row[j - 1] + Phones.Insertion(heard[j - 1]);
        }

        Walk(0, row, heard, (float)limit, found);
        found.Sort((a, b) => a.Distance != b.Distance ? a.Distance.CompareTo(b.Distance) : a.Entry.CompareTo(b.Entry));
        if (found.Count > most)
        {
            found.RemoveRange(most, found.Count - most);
        }

        return found;
    }

    private void Walk(int at, float[] row, string heard, float limit, List<SoundMatch> found)
    {
        var branch = _branches[at];
        if (branch.Entries.Length > 0 && row[^1] <= limit)
        {
            foreach (int e in branch.Entries)
            {
                found.Add(new SoundMatch(e, row[^1]));
            }
        }

        for (int k = 0; k < branch.Sounds.Length; k++)
        {
            char c = branch.Sounds[k];
            var next = new float[row.Length];
            next[0] = row[0] + Phones.Insertion(c);
            float least = next[0];
            for (int j = 1; j < row.Length; j++)
            {
                next[j] = MathF.Min(row[j - 1] + Phones.Substitution(c, heard[j - 1]),
                    MathF.Min(row[j] + Phones.Insertion(c), next[j - 1] + Phones.Insertion(heard[j - 1])));
                least = MathF.Min(least, next[j]);
            }

            if (least <= limit)
            {
                Walk(branch.Next[k], next, heard, limit, found);
            }
        }
    }
}
