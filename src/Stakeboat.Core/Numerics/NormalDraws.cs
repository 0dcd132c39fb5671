namespace Stakeboat.Core.Numerics;

/// <summary>Seeded standard normal draws by the polar method (Marsaglia and Bray 1964), the same on every machine.</summary>
public sealed class NormalDraws(int seed)
{
    private readonly Random _random = new(seed);
    private double? _spare;

    public double Next()
    {
        if (_spare is { } kept)
        {
            _spare = null;
            return kept;
        }

        while (true)
        {
            double u = 2 * _random.NextDouble() - 1, v = 2 * _random.NextDouble() - 1;
            double s = u * u + v * v;
            if (s > 0 && s < 1)
            {
                double f = Math.Sqrt(-2 * Math.Log(s) / s);
                _spare = v * f;
                return u * f;
            }
        }
    }
}
