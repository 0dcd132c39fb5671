using System.Globalization;

namespace Stakeboat.Core.Calls.Context;

/// <summary>Weights of evidence, trained offline on labelled lines: log odds that a proposed call is right. A table by hash, open addressing.</summary>
internal sealed class EvidenceWeights
{
    private readonly ulong[] _keys;
    private readonly float[] _values;
    private readonly int _mask;

    private EvidenceWeights(List<(ulong Key, float Value)> pairs)
    {
        int size = 16;
        while (size < 2 * pairs.Count)
        {
            size *= 2;
        }

        (_keys, _values, _mask, Count) = (new ulong[size], new float[size], size - 1, pairs.Count);
        foreach (var (key, value) in pairs)
        {
            int at = Slot(key);
            while (_keys[at] != 0 && _keys[at] != key)
            {
                at = (at + 1) & _mask;
            }

            (_keys[at], _values[at]) = (key, value);
        }
    }

    public int Count { get; }

    public static EvidenceWeights Read(TextReader reader)
    {
        var pairs = new List<(ulong, float)>();
        while (reader.ReadLine() is { } line)
        {
            int tab = line.IndexOf('\t', StringComparison.Ordinal);
            if (tab > 0 && line[0] != '#')
            {
                pairs.Add((new Piece(line[(tab + 1)..]).Hash, float.Parse(line.AsSpan(0, tab), NumberStyles.Float, CultureInfo.InvariantCulture)));
            }
        }

        return new EvidenceWeights(pairs);
    }

    public float Of(ulong hash)
    {
        int at = Slot(hash);
        while (true)
        {
            ulong key = _keys[at];
            if (key == hash)
            {
                return _values[at];
            }

            if (key == 0)
            {
                return 0;
            }

            at = (at + 1) & _mask;
        }
    }

    /// <summary>The weightiest evidence, with its weight.</summary>
    public List<(string Name, double Weight)> Strongest(IEnumerable<string> evidence, int most) =>
        [.. evidence.Distinct(StringComparer.Ordinal).Select(e => (e, (double)Of(new Piece(e).Hash))).Where(e => e.Item2 != 0).OrderByDescending(e => Math.Abs(e.Item2)).Take(most)];

    private int Slot(ulong key) => (int)((key ^ (key >> 29)) * 0xBF58476D1CE4E5B9UL >> 40) & _mask;
}
