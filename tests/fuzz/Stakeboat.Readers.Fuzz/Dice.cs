namespace Stakeboat.Readers.Fuzz;

/// <summary>Seeded numbers: SplitMix64 (Steele, Lea and Flood 2014, "Fast splittable pseudorandom number generators").</summary>
public sealed class Dice(ulong seed)
{
    private ulong _state = seed;

    public ulong Next()
    {
        ulong z = _state += 0x9E3779B97F4A7C15;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EB;
        return z ^ (z >> 31);
    }

    /// <summary>0 to n - 1; 0 where n is 0.</summary>
    public int Below(int n) => n <= 1 ? 0 : (int)(Next() % (ulong)n);

    public bool OneIn(int n) => Below(n) == 0;

    public T Of<T>(IReadOnlyList<T> list) => list[Below(list.Count)];
}
