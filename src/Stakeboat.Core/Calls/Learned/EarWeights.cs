using System.Buffers.Binary;
using System.Text;

namespace Stakeboat.Core.Calls.Learned;

/// <summary>
/// What was learned: vocabulary, word vectors (one signed byte an element with a scale a word), matrices (half floats) and the
/// calibration. Written by the training scripts, little-endian.
/// </summary>
internal sealed class EarWeights
{
    private const int Magic = 0x31524145;
    private readonly Dictionary<string, float[]> tensors = new(StringComparer.Ordinal);
    private readonly Dictionary<string, int> indexOf;
    private readonly sbyte[] elements;
    private readonly float[] scaleOf;

    public int VectorSize { get; }

    public double[][] Grids { get; }

    private EarWeights(Dictionary<string, int> vocabulary, sbyte[] vectors, float[] scales, int size, double[][] grids)
    {
        indexOf = vocabulary;
        elements = vectors;
        scaleOf = scales;
        VectorSize = size;
        Grids = grids;
    }

    public float[] this[string name] => tensors[name];

    /// <summary>Reads the weights that are part of this library.</summary>
    /// <exception cref="InvalidDataException">The resource is not of the expected form.</exception>
    public static EarWeights Load()
    {
        using var stream = typeof(EarWeights).Assembly.GetManifestResourceStream("Stakeboat.Ear.weights")
            ?? throw new InvalidDataException("The weights of the learned ear are missing from the library.");
        var bytes = new byte[stream.Length];
        stream.ReadExactly(bytes);
        return Read(bytes);
    }

    internal static EarWeights Read(ReadOnlySpan<byte> b)
    {
        var at = 0;
        if (Int(b, ref at) != Magic)
        {
            throw new InvalidDataException("Not the weights of a learned ear.");
        }

        var words = Encoding.UTF8.GetString(Take(b, ref at, Int(b, ref at))).Split('\n');
        var vocabulary = new Dictionary<string, int>(words.Length, StringComparer.Ordinal);
        for (var i = 1; i < words.Length; i++)
        {
            vocabulary.TryAdd(words[i], i);
        }

        var size = Int(b, ref at);
        var scales = Floats(b, ref at, words.Length);
        var raw = Take(b, ref at, words.Length * size);
        var vectors = new sbyte[raw.Length];
        for (var i = 0; i < raw.Length; i++)
        {
            vectors[i] = (sbyte)raw[i];
        }

        var grids = new double[Int(b, ref at)][];
        for (var q = 0; q < grids.Length; q++)
        {
            var values = Floats(b, ref at, Int(b, ref at));
            grids[q] = new double[values.Length];
            for (var i = 0; i < values.Length; i++)
            {
                // Four decimals: the grids are written in hundredths and sixteenths.
                grids[q][i] = float.IsNaN(values[i]) ? double.NaN : Math.Round((double)values[i], 4);
            }
        }

        var weights = new EarWeights(vocabulary, vectors, scales, size, grids);
        for (var left = Int(b, ref at); left > 0; left--)
        {
            var name = Encoding.UTF8.GetString(Take(b, ref at, Int(b, ref at)));
            var length = Int(b, ref at);
            var data = Take(b, ref at, length * 2);
            var tensor = new float[length];
            for (var i = 0; i < length; i++)
            {
                tensor[i] = (float)BinaryPrimitives.ReadHalfLittleEndian(data[(i * 2)..]);
            }

            weights.tensors[name] = tensor;
        }

        return weights;
    }

    private static ReadOnlySpan<byte> Take(ReadOnlySpan<byte> b, ref int at, int n)
    {
        if (n < 0 || at + n > b.Length)
        {
            throw new InvalidDataException("The weights of the learned ear end early.");
        }

        at += n;
        return b.Slice(at - n, n);
    }

    private static int Int(ReadOnlySpan<byte> b, ref int at) => BinaryPrimitives.ReadInt32LittleEndian(Take(b, ref at, 4));

    private static float[] Floats(ReadOnlySpan<byte> b, ref int at, int n)
    {
        var raw = Take(b, ref at, n * 4);
        var f = new float[n];
        for (var i = 0; i < n; i++)
        {
            f[i] = BinaryPrimitives.ReadSingleLittleEndian(raw[(i * 4)..]);
        }

        return f;
    }

    /// <summary>The vector of a word: itself, without a genitive, without a plural, else the unknown word's.</summary>
    public void Vector(string word, Span<float> to)
    {
        var i = Index(word);
        var scale = scaleOf[i];
        for (var k = 0; k < VectorSize; k++)
        {
            to[k] = elements[(i * VectorSize) + k] * scale;
        }
    }

    private int Index(string word)
    {
        if (indexOf.TryGetValue(word, out var i))
        {
            return i;
        }

        if (word.EndsWith("'s", StringComparison.Ordinal) && indexOf.TryGetValue(word[..^2], out i))
        {
            return i;
        }

        return word.Length > 4 && word.EndsWith('s') && indexOf.TryGetValue(word[..^1], out i) ? i : 1;
    }
}
