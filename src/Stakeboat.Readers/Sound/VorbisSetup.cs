namespace Stakeboat.Readers.Sound;

/// <summary>
/// Walks the codebooks of a Vorbis setup head (Vorbis I specification, section 3.2.1) before anything is built from them: a few bytes can declare sixteen
/// million entries, and a decoder that believes them runs out of memory. Encoders stay below 10 000 entries in a book.
/// </summary>
internal static class VorbisSetup
{
    /// <summary>Most entries of all books together.</summary>
    private const long MostEntries = 1 << 18;

    /// <summary>Most values (entries times dimensions) of all books together.</summary>
    private const long MostValues = 1 << 20;

    /// <summary>False where the books are damaged or larger than any encoder makes them.</summary>
    public static bool Sensible(ReadOnlySpan<byte> setup)
    {
        var bits = new Low(setup[7..]);
        int books = (int)bits.Take(8) + 1;
        long entries = 0, values = 0;
        for (int b = 0; b < books; b++)
        {
            if (bits.Take(24) != 0x564342)
            {
                return false;
            }

            int dimensions = (int)bits.Take(16), n = (int)bits.Take(24);
            entries += n;
            values += (long)n * dimensions;
            if (bits.End || n == 0 || entries > MostEntries || values > MostValues || !Lengths(ref bits, n) || !Lookup(ref bits, n, dimensions))
            {
                return false;
            }
        }

        return !bits.End;
    }

    private static bool Lengths(ref Low bits, int n)
    {
        if (bits.Take(1) == 1)
        {
            int at = 0, length = (int)bits.Take(5) + 1;
            while (at < n)
            {
                int width = 32 - System.Numerics.BitOperations.LeadingZeroCount((uint)(n - at));
                at += (int)bits.Take(width);
                if (at > n || bits.End || ++length > 33)
                {
                    return false;
                }
            }

            return true;
        }

        bool sparse = bits.Take(1) == 1;
        for (int i = 0; i < n && !bits.End; i++)
        {
            if (!sparse || bits.Take(1) == 1)
            {
                bits.Take(5);
            }
        }

        return !bits.End;
    }

    private static bool Lookup(ref Low bits, int n, int dimensions)
    {
        int kind = (int)bits.Take(4);
        if (kind == 0)
        {
            return true;
        }

        if (kind > 2 || dimensions == 0)
        {
            return false;
        }

        bits.Skip(64);
        int width = (int)bits.Take(4) + 1;
        bits.Skip(1);
        long count = kind == 2 ? (long)n * dimensions : Root(n, dimensions);
        bits.Skip(count * width);
        return !bits.End;
    }

    // The largest whole number whose power is at most n.
    private static int Root(int n, int power)
    {
        int r = (int)Math.Floor(Math.Exp(Math.Log(n) / power)) + 1;
        while (r > 1 && Math.Pow(r, power) > n)
        {
            r--;
        }

        return r;
    }

    // Bits from the low end of each byte on.
    private ref struct Low(ReadOnlySpan<byte> bytes)
    {
        private readonly ReadOnlySpan<byte> _bytes = bytes;
        private long _at;

        public readonly bool End => _at > _bytes.Length * 8L;

        public uint Take(int n)
        {
            uint v = 0;
            for (int i = 0; i < n; i++, _at++)
            {
                int at = (int)(_at >> 3);
                if (at < _bytes.Length)
                {
                    v |= (uint)((_bytes[at] >> (int)(_at & 7)) & 1) << i;
                }
            }

            return v;
        }

        public void Skip(long n) => _at += n;
    }
}
