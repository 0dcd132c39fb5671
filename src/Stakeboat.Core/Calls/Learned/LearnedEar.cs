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
        var reading = new EarReading(weights, input, context);
        var known = new Dictionary<string, float[]>(StringComparer.Ordinal);
        for (var start = 0; start < tokens.Count; start += Piece)
        {
            var end = Math.Min(start + Piece, tokens.Count);
            var from = Math.Max(0, start - Overlap);
            var to = Math.Min(tokens.Count, end + Overlap);
            var states = net.Encode(Inputs(input, known, from, to), to - from);
            Present(states, from, start, end, reading, proposals);
        }

        return proposals;
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

    private void Present(float[] states, int from, int start, int end, EarReading reading, List<EarProposal> proposals)
    {
        var logits = new float[EarClasses.Types];
        var w = weights["present.weight"];
        var b = weights["present.bias"];
        for (var t = start; t < end; t++)
        {
            EarNet.Linear(w, b, states.AsSpan((t - from) * EarNet.Wide, EarNet.Wide), logits);
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
                    reading.At(states, t - from);
                    looked = true;
                }

                proposals.Add(reading.Read((EarType)k, p, states, from, t));
            }
        }
    }
}
