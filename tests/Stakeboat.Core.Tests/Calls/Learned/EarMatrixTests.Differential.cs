using Stakeboat.Core.Calls.Learned;

namespace Stakeboat.Core.Tests.Calls.Learned;

/// <summary>The panelled product against the sum written out.</summary>
public sealed class EarMatrixDifferentialTests
{
    [Theory]
    [InlineData(1, 1, 1)]
    [InlineData(3, 5, 7)]
    [InlineData(4, 16, 96)]
    [InlineData(9, 33, 201)]
    [InlineData(17, 288, 96)]
    public void It_is_the_sum_of_products(int rows, int outputs, int inputs)
    {
        var random = new Random(rows + outputs + inputs);
        float[] w = Some(outputs * inputs), b = Some(outputs), x = Some(rows * inputs), y = new float[rows * outputs];
        new EarMatrix(w, b, inputs).Apply(x, y, rows);
        for (int r = 0; r < rows; r++)
        {
            for (int o = 0; o < outputs; o++)
            {
                double sum = b[o];
                for (int k = 0; k < inputs; k++)
                {
                    sum += (double)w[(o * inputs) + k] * x[(r * inputs) + k];
                }

                Assert.Equal(sum, y[(r * outputs) + o], 1e-4);
            }
        }

        float[] Some(int n) => [.. Enumerable.Range(0, n).Select(_ => (float)((2 * random.NextDouble()) - 1))];
    }

    [Fact]
    public void Too_few_elements_are_refused() =>
        Assert.Throws<ArgumentException>(() => new EarMatrix(new float[6], new float[2], 3).Apply(new float[5], new float[4], 2));
}
