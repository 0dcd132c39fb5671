using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace Stakeboat.Core.Calls.Learned;

/// <summary>
/// A linear map y = W x + b for many x at once. The weights lie in panels of two vectors' width, so that four rows of inputs and one panel
/// fill the registers. No allocation in use; thread-safe.
/// </summary>
internal sealed class EarMatrix
{
    private static readonly int Width = 2 * Vector<float>.Count;
    private readonly float[] panels;
    private readonly float[] bias;

    /// <param name="weights">Rows of outputs.</param>
    public EarMatrix(ReadOnlySpan<float> weights, ReadOnlySpan<float> bias, int inputs)
    {
        Inputs = inputs;
        Outputs = weights.Length / inputs;
        var count = (Outputs + Width - 1) / Width;
        panels = new float[count * inputs * Width];
        this.bias = new float[count * Width];
        bias.CopyTo(this.bias);
        for (var o = 0; o < Outputs; o++)
        {
            var at = ((o / Width) * inputs * Width) + (o % Width);
            for (var k = 0; k < inputs; k++)
            {
                panels[at + (k * Width)] = weights[(o * inputs) + k];
            }
        }
    }

    public int Inputs { get; }

    public int Outputs { get; }

    /// <summary>y (rows x Outputs) = x (rows x Inputs) W' + b.</summary>
    public void Apply(ReadOnlySpan<float> x, Span<float> y, int rows)
    {
        if (x.Length < rows * Inputs || y.Length < rows * Outputs)
        {
            throw new ArgumentException("Too few elements for the rows.", nameof(rows));
        }

        Span<float> tail = stackalloc float[4 * Width];
        for (int p = 0, o = 0; o < Outputs; p++, o += Width)
        {
            ref var w = ref panels[p * Inputs * Width];
            ref var b = ref bias[o];
            var whole = o + Width <= Outputs;
            var r = 0;
            for (; r + 4 <= rows; r += 4)
            {
                if (whole)
                {
                    Four(ref Unsafe.Add(ref MemoryMarshal.GetReference(x), r * Inputs), ref w, ref b, ref Unsafe.Add(ref MemoryMarshal.GetReference(y), (r * Outputs) + o), Outputs);
                }
                else
                {
                    Four(ref Unsafe.Add(ref MemoryMarshal.GetReference(x), r * Inputs), ref w, ref b, ref MemoryMarshal.GetReference(tail), Width);
                    for (var i = 0; i < 4; i++)
                    {
                        tail.Slice(i * Width, Outputs - o).CopyTo(y[(((r + i) * Outputs) + o)..]);
                    }
                }
            }

            for (; r < rows; r++)
            {
                One(ref Unsafe.Add(ref MemoryMarshal.GetReference(x), r * Inputs), ref w, ref b, ref MemoryMarshal.GetReference(tail));
                tail[..Math.Min(Width, Outputs - o)].CopyTo(y[((r * Outputs) + o)..]);
            }
        }
    }

    private void Four(ref float x, ref float w, ref float b, ref float y, int step)
    {
        var v = Vector<float>.Count;
        var n = Inputs;
        Vector<float> a0 = Vector.LoadUnsafe(ref b), b0 = Vector.LoadUnsafe(ref b, (nuint)v);
        Vector<float> a1 = a0, b1 = b0, a2 = a0, b2 = b0, a3 = a0, b3 = b0;
        ref var x1 = ref Unsafe.Add(ref x, n);
        ref var x2 = ref Unsafe.Add(ref x1, n);
        ref var x3 = ref Unsafe.Add(ref x2, n);
        for (var k = 0; k < n; k++)
        {
            var wa = Vector.LoadUnsafe(ref w);
            var wb = Vector.LoadUnsafe(ref w, (nuint)v);
            w = ref Unsafe.Add(ref w, 2 * v);
            var s = new Vector<float>(Unsafe.Add(ref x, k));
            a0 = Vector.MultiplyAddEstimate(s, wa, a0);
            b0 = Vector.MultiplyAddEstimate(s, wb, b0);
            s = new Vector<float>(Unsafe.Add(ref x1, k));
            a1 = Vector.MultiplyAddEstimate(s, wa, a1);
            b1 = Vector.MultiplyAddEstimate(s, wb, b1);
            s = new Vector<float>(Unsafe.Add(ref x2, k));
            a2 = Vector.MultiplyAddEstimate(s, wa, a2);
            b2 = Vector.MultiplyAddEstimate(s, wb, b2);
            s = new Vector<float>(Unsafe.Add(ref x3, k));
            a3 = Vector.MultiplyAddEstimate(s, wa, a3);
            b3 = Vector.MultiplyAddEstimate(s, wb, b3);
        }

        a0.StoreUnsafe(ref y);
        b0.StoreUnsafe(ref y, (nuint)v);
        a1.StoreUnsafe(ref y, (nuint)step);
        b1.StoreUnsafe(ref y, (nuint)(step + v));
        a2.StoreUnsafe(ref y, (nuint)(2 * step));
        b2.StoreUnsafe(ref y, (nuint)((2 * step) + v));
        a3.StoreUnsafe(ref y, (nuint)(3 * step));
        b3.StoreUnsafe(ref y, (nuint)((3 * step) + v));
    }

    private void One(ref float x, ref float w, ref float b, ref float y)
    {
        var v = Vector<float>.Count;
        Vector<float> a0 = Vector.LoadUnsafe(ref b), b0 = Vector.LoadUnsafe(ref b, (nuint)v);
        for (var k = 0; k < Inputs; k++)
        {
            var s = new Vector<float>(Unsafe.Add(ref x, k));
            a0 = Vector.MultiplyAddEstimate(s, Vector.LoadUnsafe(ref w), a0);
            b0 = Vector.MultiplyAddEstimate(s, Vector.LoadUnsafe(ref w, (nuint)v), b0);
            w = ref Unsafe.Add(ref w, 2 * v);
        }

        a0.StoreUnsafe(ref y);
        b0.StoreUnsafe(ref y, (nuint)v);
    }
}
