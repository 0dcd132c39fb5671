using System.Globalization;

namespace Stakeboat.Core.Calls.Context;

/// <summary>
/// Gradient-boosted regression trees for log odds (Friedman 2001; grown offline by oracles/calls/train-second.py): the sum of one leaf of each tree.
/// A value that is not a number goes the way that the node says.
/// </summary>
internal sealed class Trees
{
    private readonly record struct Node(int Feature, float Threshold, bool MissingLeft, int Left, int Right, float Value);

    private readonly List<Node[]> _trees = [];
    private readonly double _base;

    private Trees(double start) => _base = start;

    /// <summary>Reads "base VALUE", then for each tree a line "tree" and a line for each node: feature threshold missing left right, or leaf VALUE.</summary>
    /// <exception cref="FormatException">The text is not of this form.</exception>
    public static Trees? Read(TextReader reader)
    {
        Trees? trees = null;
        var nodes = new List<Node>();
        while (true)
        {
            string? line = reader.ReadLine();
            if (line is { Length: > 0 } && line[0] == '#')
            {
                continue;
            }

            var p = line?.Split(' ') ?? [];
            if ((line is null || p[0] == "tree") && nodes.Count > 0)
            {
                trees!._trees.Add([.. nodes]);
                nodes.Clear();
            }

            switch (p.Length)
            {
                case 0:
                    return trees;
                case 2 when p[0] == "base":
                    trees = new Trees(double.Parse(p[1], CultureInfo.InvariantCulture));
                    break;
                case 2 when p[0] == "leaf":
                    nodes.Add(new Node(-1, 0, false, 0, 0, Number(p[1])));
                    break;
                case 5:
                    nodes.Add(new Node(int.Parse(p[0], CultureInfo.InvariantCulture), Number(p[1]), p[2] == "1", int.Parse(p[3], CultureInfo.InvariantCulture), int.Parse(p[4], CultureInfo.InvariantCulture), 0));
                    break;
                case 1 when p[0] == "tree":
                    break;
                default:
                    throw new FormatException("Not a line of the trees of the second look: " + line);
            }
        }
    }

    /// <summary>Log odds.</summary>
    public double Of(ReadOnlySpan<float> x)
    {
        double sum = _base;
        foreach (var tree in _trees)
        {
            int at = 0;
            while (tree[at].Feature >= 0)
            {
                ref readonly var n = ref tree[at];
                float v = x[n.Feature];
                at = float.IsNaN(v) ? n.MissingLeft ? n.Left : n.Right : v <= n.Threshold ? n.Left : n.Right;
            }

            sum += tree[at].Value;
        }

        return sum;
    }

    private static float Number(string s) => float.Parse(s, NumberStyles.Float, CultureInfo.InvariantCulture);
}
