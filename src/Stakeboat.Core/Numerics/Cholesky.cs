namespace Stakeboat.Core.Numerics;

/// <summary>Cholesky factor of small symmetric matrices, row by row in spans. A pivot that is not positive is taken as a tiny one, so a state that is known exactly does not stop a smoother.</summary>
public static class Cholesky
{
    /// <summary>Lower L with L L' = a, upper part zero.</summary>
    public static void Factor(ReadOnlySpan<double> a, Span<double> l, int n)
    {
        double largest = 0;
        for (int i = 0; i < n; i++)
        {
            largest = Math.Max(largest, a[(i * n) + i]);
        }

        double floor = Math.Max(1e-300, largest * 1e-18);
        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j <= i; j++)
            {
                double s = a[(i * n) + j];
                for (int m = 0; m < j; m++)
                {
                    s -= l[(i * n) + m] * l[(j * n) + m];
                }

                l[(i * n) + j] = i == j ? Math.Sqrt(Math.Max(s, floor)) : s / l[(j * n) + j];
            }

            for (int j = i + 1; j < n; j++)
            {
                l[(i * n) + j] = 0;
            }
        }
    }

    /// <summary>Solves L L' x = b for <paramref name="columns"/> columns, in place.</summary>
    public static void Solve(ReadOnlySpan<double> l, Span<double> b, int n, int columns)
    {
        for (int c = 0; c < columns; c++)
        {
            for (int i = 0; i < n; i++)
            {
                double s = b[(i * columns) + c];
                for (int m = 0; m < i; m++)
                {
                    s -= l[(i * n) + m] * b[(m * columns) + c];
                }

                b[(i * columns) + c] = s / l[(i * n) + i];
            }

            for (int i = n - 1; i >= 0; i--)
            {
                double s = b[(i * columns) + c];
                for (int m = i + 1; m < n; m++)
                {
                    s -= l[(m * n) + i] * b[(m * columns) + c];
                }

                b[(i * columns) + c] = s / l[(i * n) + i];
            }
        }
    }
}
