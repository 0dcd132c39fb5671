namespace Stakeboat.Simulation;

/// <summary>
/// A seeded stream of numbers that does not change with the runtime: SplitMix64 (Steele, Lea and Flood 2014).
/// Streams for different uses are split off by name, so that one more draw in one place leaves the others as they were.
/// </summary>
public sealed class Dice
{
    private readonly ulong _seed;
    private ulong _state;
    private double? _spare;

    public Dice(ulong seed)
    {
        _seed = seed;
        _state = seed;
    }

    /// <summary>An independent stream for the use that <paramref name="name"/> names (FNV-1a of the name, mixed into the seed).</summary>
    public Dice For(string name)
    {
        ulong h = 14695981039346656037;
        foreach (char c in name)
        {
            h = unchecked((h ^ c) * 1099511628211);
        }

        return new Dice(Mix(unchecked(_seed + h)));
    }

    public ulong NextBits()
    {
        _state = unchecked(_state + 0x9E3779B97F4A7C15);
        return Mix(_state);
    }

    /// <summary>Uniform in [0, 1).</summary>
    public double Uniform() => (NextBits() >> 11) * (1.0 / 9007199254740992.0);

    public double Between(double low, double high) => low + (high - low) * Uniform();

    public bool Chance(double probability) => Uniform() < probability;

    /// <summary>Uniform whole number in [0, <paramref name="count"/>).</summary>
    public int Index(int count)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(count, 1);
        return (int)(Uniform() * count);
    }

    public T Pick<T>(IReadOnlyList<T> items) => items[Index(items.Count)];

    /// <summary>Standard normal (Box and Muller 1958).</summary>
    public double Normal()
    {
        if (_spare is { } s)
        {
            _spare = null;
            return s;
        }

        double r = Math.Sqrt(-2 * Math.Log(1 - Uniform()));
        double a = 2 * Math.PI * Uniform();
        _spare = r * Math.Sin(a);
        return r * Math.Cos(a);
    }

    private static ulong Mix(ulong z)
    {
        unchecked
        {
            z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9;
            z = (z ^ (z >> 27)) * 0x94D049BB133111EB;
            return z ^ (z >> 31);
        }
    }
}

/// <summary>First-order Gauss-Markov noise, sampled at any increasing times: sd in the caller's unit, memory in s.</summary>
internal sealed class SlowNoise(Dice dice, double sd, double memorySeconds)
{
    private double _value = sd * dice.Normal();
    private double? _last;

    public double At(double seconds)
    {
        if (_last is { } last)
        {
            double k = Math.Exp(-Math.Max(0, seconds - last) / memorySeconds);
            _value = k * _value + sd * Math.Sqrt(1 - k * k) * dice.Normal();
        }

        _last = seconds;
        return _value;
    }
}
