namespace Stakeboat.Core.Calls.Learned;

/// <summary>
/// An ear trained on the labelled lines and on many spoiled and invented ones: a small recurrent net that says for each word whether a
/// call is complete there and with which fields. It runs in plain loops; nothing is downloaded. Thread-safe.
/// </summary>
public sealed class LearnedEar : ILearnedEar
{
    /// <summary>Words read at once; longer streams are read in pieces that overlap.</summary>
    private const int Piece = 1500;

    /// <summary>Words on either side of a piece that are read with it but give no calls.</summary>
    private const int Overlap = 50;

    /// <summary>Below this a type is not looked at.</summary>
    private const double Least = .03;

    private static readonly Lazy<LearnedEar> Only = new(() => new LearnedEar(EarWeights.Load()));
    private readonly EarWeights weights;
    private readonly EarNet net;

    internal LearnedEar(EarWeights weights)
    {
        this.weights = weights;
        net = new EarNet(weights);
    }

    /// <summary>The ear with the weights that come with the library; they are read at the first use.</summary>
    public static LearnedEar Default => Only.Value;

    /// <summary>An ear with other weights: those of a net that has not heard what it is to be judged on, say.</summary>
    /// <param name="weights">As oracles/ear/export.py writes them.</param>
    /// <exception cref="InvalidDataException">The bytes are not of that form.</exception>
    public static LearnedEar With(ReadOnlySpan<byte> weights) => new(EarWeights.Read(weights));

    /// <inheritdoc/>
    public IReadOnlyList<LearnedCandidate> Read(IReadOnlyList<CallToken> tokens, EarContext context)
    {
        ArgumentNullException.ThrowIfNull(tokens);
        ArgumentNullException.ThrowIfNull(context);
        var proposals = Propose(tokens, context);
        return EarJudge.Candidates(proposals, weights["calibration"]);
    }

    /// <summary>Everything proposed, token by token, before neighbours are put together.</summary>
    internal List<EarProposal> Propose(IReadOnlyList<CallToken> tokens, EarContext context)
    {
        var proposals = new List<EarProposal>();
        if (tokens.Count == 0)
        {
            return proposals;
        }

        var input = new EarInput(tokens, context);
        Present(States(input), new EarReading(weights, input, context), proposals);
        return proposals;
    }

    /// <summary>What the net is told, alone: for measuring. Returns the number of words.</summary>
    public static int Features(IReadOnlyList<CallToken> tokens, EarContext context)
    {
        ArgumentNullException.ThrowIfNull(tokens);
        ArgumentNullException.ThrowIfNull(context);
        return new EarInput(tokens, context).Words.Length;
    }

    /// <summary>Features and net without the reading of fields: for measuring. Returns the count of numbers.</summary>
    public int States(IReadOnlyList<CallToken> tokens, EarContext context)
    {
        ArgumentNullException.ThrowIfNull(tokens);
        ArgumentNullException.ThrowIfNull(context);
        return States(new EarInput(tokens, context)).Length;
    }

    /// <summary>What the net says of every word: words x Wide.</summary>
    private float[] States(EarInput input)
    {
        var count = input.Words.Length;
        var states = new float[count * EarNet.Wide];
        var known = new Dictionary<string, float[]>(StringComparer.Ordinal);
        for (var start = 0; start < count; start += Piece)
        {
            var end = Math.Min(start + Piece, count);
            var from = Math.Max(0, start - Overlap);
            var to = Math.Min(count, end + Overlap);
            net.Encode(Inputs(input, known, from, to), to - from).AsSpan((start - from) * EarNet.Wide, (end - start) * EarNet.Wide)
                .CopyTo(states.AsSpan(start * EarNet.Wide));
        }

        return states;
    }

    private float[] Inputs(EarInput input, Dictionary<string, float[]> known, int from, int to)
    {
        var size = net.InputSize;
        var inputs = new float[(to - from) * size];
        for (var i = from; i < to; i++)
        {
            var word = input.Words[i];
            if (!known.TryGetValue(word, out var row))
            {
                row = new float[net.WordSize];
                net.Word(word, row);
                known[word] = row;
            }

            row.CopyTo(inputs, (i - from) * size);
            input.Extras(i, inputs.AsSpan(((i - from) * size) + net.WordSize, EarInput.ExtraCount));
        }

        return inputs;
    }

    private void Present(float[] states, EarReading reading, List<EarProposal> proposals)
    {
        var logits = new float[EarClasses.Types];
        var w = weights["present.weight"];
        var b = weights["present.bias"];
        for (var t = 0; t * EarNet.Wide < states.Length; t++)
        {
            EarNet.Linear(w, b, states.AsSpan(t * EarNet.Wide, EarNet.Wide), logits);
            var looked = false;
            for (var k = 0; k < logits.Length; k++)
            {
                var p = EarNet.Logistic(logits[k]);
                if (p < Least)
                {
                    continue;
                }

                if (!looked)
                {
                    reading.At(states, t);
                    looked = true;
                }

                proposals.Add(reading.Read((EarType)k, p, states, t));
            }
        }
    }
}
