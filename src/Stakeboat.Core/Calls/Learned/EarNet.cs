using System.Numerics;

namespace Stakeboat.Core.Calls.Learned;

/// <summary>
/// The net's forward pass in plain loops: letters by a convolution, two layers of gated recurrence both ways (Cho et al. 2014, in the
/// form with the reset gate after the product), linear outputs.
/// </summary>
internal sealed class EarNet
{
    public const int Hidden = 96;
    public const int Wide = 2 * Hidden;
    public const int Middle = 128;
    private const int LetterSize = 16;
    private const int LetterFilters = 48;
    private const int MostLetters = 14;
    private const string Letters = "abcdefghijklmnopqrstuvwxyz0123456789'.:/";
    private readonly EarWeights weights;
    private readonly float[] letterVectors;
    private readonly float[] convolution;
    private readonly float[] convolutionBias;
    private readonly Layer[] layers;

    public EarNet(EarWeights weights)
    {
        this.weights = weights;
        letterVectors = weights["cemb.weight"];
        convolution = weights["conv.weight"];
        convolutionBias = weights["conv.bias"];
        layers = new Layer[4];
        for (var l = 0; l < 4; l++)
        {
            var name = l switch { 0 => "l0", 1 => "l0_reverse", 2 => "l1", _ => "l1_reverse" };
            var inputs = l < 2 ? InputSize : Wide;
            layers[l] = new Layer(
                new EarMatrix(weights[$"gru.weight_ih_{name}"], weights[$"gru.bias_ih_{name}"], inputs),
                new EarMatrix(weights[$"gru.weight_hh_{name}"], weights[$"gru.bias_hh_{name}"], Hidden));
        }
    }

    public int WordSize => weights.VectorSize + LetterFilters + SpokenNumbers.FeatureCount;

    public int InputSize => WordSize + EarInput.ExtraCount;

    private sealed record Layer(EarMatrix In, EarMatrix Back);

    /// <summary>What a word is apart from its place: its vector, its letters, its number.</summary>
    public void Word(string word, Span<float> to)
    {
        weights.Vector(word, to);
        LettersOf(word, to.Slice(weights.VectorSize, LetterFilters));
        SpokenNumbers.Features(word, to[(weights.VectorSize + LetterFilters)..]);
    }

    private void LettersOf(string word, Span<float> to)
    {
        Span<int> ids = stackalloc int[MostLetters + 2];
        ids.Clear();
        var n = Math.Min(word.Length, MostLetters);
        for (var i = 0; i < n; i++)
        {
            ids[i + 1] = Letters.IndexOf(word[i], StringComparison.Ordinal) + 1;
        }

        for (var f = 0; f < LetterFilters; f++)
        {
            var best = 0f;
            for (var p = 1; p <= n; p++)
            {
                if (ids[p] == 0)
                {
                    continue;
                }

                var sum = convolutionBias[f];
                for (var k = 0; k < 3; k++)
                {
                    var id = ids[p + k - 1];
                    if (id == 0)
                    {
                        continue;
                    }

                    for (var e = 0; e < LetterSize; e++)
                    {
                        sum += convolution[(((f * LetterSize) + e) * 3) + k] * letterVectors[(id * LetterSize) + e];
                    }
                }

                best = Math.Max(best, sum);
            }

            to[f] = best;
        }
    }

    /// <summary>Reads n inputs (n x InputSize) both ways twice: n x Wide.</summary>
    public float[] Encode(float[] inputs, int n)
    {
        var first = new float[n * Wide];
        var gates = new float[n * 3 * Hidden];
        Run(layers[0], inputs, n, false, gates, first);
        Run(layers[1], inputs, n, true, gates, first);
        var second = new float[n * Wide];
        Run(layers[2], first, n, false, gates, second);
        Run(layers[3], first, n, true, gates, second);
        return second;
    }

    private static void Run(Layer layer, float[] inputs, int n, bool reverse, float[] gates, float[] to)
    {
        layer.In.Apply(inputs, gates, n);
        Span<float> state = stackalloc float[Hidden];
        Span<float> back = stackalloc float[3 * Hidden];
        state.Clear();
        var offset = reverse ? Hidden : 0;
        for (var step = 0; step < n; step++)
        {
            var t = reverse ? n - 1 - step : step;
            layer.Back.Apply(state, back, 1);
            Step(gates.AsSpan(t * 3 * Hidden, 3 * Hidden), back, state);
            state.CopyTo(to.AsSpan((t * Wide) + offset));
        }
    }

    private static void Step(ReadOnlySpan<float> gates, ReadOnlySpan<float> back, Span<float> state)
    {
        var v = Vector<float>.Count;
        var one = Vector<float>.One;
        for (var i = 0; i < Hidden; i += v)
        {
            var reset = one / (one + Vector.Exp(-(new Vector<float>(gates[i..]) + new Vector<float>(back[i..]))));
            var update = one / (one + Vector.Exp(-(new Vector<float>(gates[(Hidden + i)..]) + new Vector<float>(back[(Hidden + i)..]))));
            // tanh x = 1 - 2 / (1 + exp 2x)
            var x = new Vector<float>(gates[((2 * Hidden) + i)..]) + (reset * new Vector<float>(back[((2 * Hidden) + i)..]));
            var fresh = one - (new Vector<float>(2) / (one + Vector.Exp(x + x)));
            (((one - update) * fresh) + (update * new Vector<float>(state[i..]))).CopyTo(state[i..]);
        }
    }

    public static float Logistic(float x) => 1 / (1 + MathF.Exp(-x));

    /// <summary>y = W x + b with W in rows.</summary>
    public static void Linear(float[] w, float[]? bias, ReadOnlySpan<float> x, Span<float> y)
    {
        var n = x.Length;
        for (var r = 0; r < y.Length; r++)
        {
            y[r] = Dot(w.AsSpan(r * n, n), x) + (bias is null ? 0 : bias[r]);
        }
    }

    public static float Dot(ReadOnlySpan<float> a, ReadOnlySpan<float> b)
    {
        var width = Vector<float>.Count;
        var sum = Vector<float>.Zero;
        var i = 0;
        for (; i <= a.Length - width; i += width)
        {
            sum += new Vector<float>(a[i..]) * new Vector<float>(b[i..]);
        }

        var total = Vector.Sum(sum);
        for (; i < a.Length; i++)
        {
            total += a[i] * b[i];
        }

        return total;
    }
}
