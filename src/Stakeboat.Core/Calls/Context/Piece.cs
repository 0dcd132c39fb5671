namespace Stakeboat.Core.Calls.Context;

/// <summary>
/// A part of the name of a piece of evidence. The hash of parts set together is that of the joined text (polynomial hash over 64 bits), so
/// that weights are found without building the text.
/// </summary>
internal sealed class Piece
{
    private const ulong Base = 0x9E3779B97F4A7C15UL | 1;
    private static readonly System.Collections.Concurrent.ConcurrentDictionary<string, Piece> Known = new(StringComparer.Ordinal);

    public Piece(string text)
    {
        Text = text;
        ulong hash = 0, power = 1;
        foreach (char c in text)
        {
            hash = (hash * Base) + c + 1;
            power *= Base;
        }

        (Hash, Power) = (hash, power);
    }

    public string Text { get; }

    public ulong Hash { get; }

    public ulong Power { get; }

    /// <summary>A piece that is used again and again: names of types, kinds and patterns, never words of captions.</summary>
    public static Piece Of(string text) => Known.GetOrAdd(text, t => new Piece(t));
}

/// <summary>Takes evidence: adds up its weights, or writes down its names for training and explanation.</summary>
internal sealed class EvidenceSink(EvidenceWeights? weights, bool named)
{
    public List<string> Names { get; private set; } = [];

    public double Sum { get; private set; }

    public void Clear()
    {
        Sum = 0;
        if (named)
        {
            Names = [];
        }
    }

    public void Add(Piece a)
    {
        Take(a.Hash);
        if (named)
        {
            Names.Add(a.Text);
        }
    }

    public void Add(Piece a, Piece b)
    {
        Take((a.Hash * b.Power) + b.Hash);
        if (named)
        {
            Names.Add(a.Text + b.Text);
        }
    }

    public void Add(Piece a, Piece b, Piece c)
    {
        Take((((a.Hash * b.Power) + b.Hash) * c.Power) + c.Hash);
        if (named)
        {
            Names.Add(a.Text + b.Text + c.Text);
        }
    }

    public void Add(Piece a, Piece b, Piece c, Piece d)
    {
        Take((((((a.Hash * b.Power) + b.Hash) * c.Power) + c.Hash) * d.Power) + d.Hash);
        if (named)
        {
            Names.Add(a.Text + b.Text + c.Text + d.Text);
        }
    }

    public void Add(Piece a, Piece b, Piece c, Piece d, Piece e)
    {
        Take((((((((a.Hash * b.Power) + b.Hash) * c.Power) + c.Hash) * d.Power) + d.Hash) * e.Power) + e.Hash);
        if (named)
        {
            Names.Add(a.Text + b.Text + c.Text + d.Text + e.Text);
        }
    }

    private void Take(ulong hash)
    {
        if (weights is not null)
        {
            Sum += weights.Of(hash);
        }
    }
}
