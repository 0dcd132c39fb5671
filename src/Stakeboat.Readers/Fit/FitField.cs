using System.Buffers.Binary;
using System.Text;

namespace Stakeboat.Readers.Fit;

/// <summary>One field of a definition: where it lies in the message and of what base type it is.</summary>
internal readonly record struct FitField(byte Number, int At, int Size, byte BaseType)
{
    private static readonly byte[] s_sizes = [1, 1, 1, 2, 2, 4, 4, 1, 4, 8, 1, 2, 4, 1, 8, 8, 8];

    /// <summary>Bytes of one value; 0 for a type that is not known.</summary>
    public int Unit => (BaseType & 0x1F) < s_sizes.Length ? s_sizes[BaseType & 0x1F] : 0;

    /// <summary>Values in the field; a size that is no multiple of the type's counts as bytes.</summary>
    public int Count => Unit > 0 && Size % Unit == 0 ? Size / Unit : 0;

    /// <summary>A value as a number; null where it is the type's mark for "invalid", or no number.</summary>
    public double? Number64(ReadOnlySpan<byte> message, bool big, int index = 0)
    {
        if (index >= Count)
        {
            return null;
        }

        var b = message.Slice(At + (index * Unit), Unit);
        switch (BaseType & 0x1F)
        {
            case 0 or 2 or 13:
                return b[0] == 0xFF ? null : b[0];
            case 1:
                return b[0] == 0x7F ? null : (sbyte)b[0];
            case 10:
                return b[0] == 0 ? null : b[0];
            case 3:
                short s = big ? BinaryPrimitives.ReadInt16BigEndian(b) : BinaryPrimitives.ReadInt16LittleEndian(b);
                return s == 0x7FFF ? null : s;
            case 4 or 11:
                ushort u = big ? BinaryPrimitives.ReadUInt16BigEndian(b) : BinaryPrimitives.ReadUInt16LittleEndian(b);
                return u == ((BaseType & 0x1F) == 4 ? 0xFFFF : 0) ? null : u;
            case 5:
                int i = big ? BinaryPrimitives.ReadInt32BigEndian(b) : BinaryPrimitives.ReadInt32LittleEndian(b);
                return i == 0x7FFFFFFF ? null : i;
            case 6 or 12:
                uint v = big ? BinaryPrimitives.ReadUInt32BigEndian(b) : BinaryPrimitives.ReadUInt32LittleEndian(b);
                return v == ((BaseType & 0x1F) == 6 ? 0xFFFFFFFF : 0) ? null : v;
            case 8:
                float f = big ? BinaryPrimitives.ReadSingleBigEndian(b) : BinaryPrimitives.ReadSingleLittleEndian(b);
                return float.IsFinite(f) ? f : null;
            case 9:
                double d = big ? BinaryPrimitives.ReadDoubleBigEndian(b) : BinaryPrimitives.ReadDoubleLittleEndian(b);
                return double.IsFinite(d) ? d : null;
            case 14:
                long l = big ? BinaryPrimitives.ReadInt64BigEndian(b) : BinaryPrimitives.ReadInt64LittleEndian(b);
                return l == long.MaxValue ? null : l;
            case 15 or 16:
                ulong w = big ? BinaryPrimitives.ReadUInt64BigEndian(b) : BinaryPrimitives.ReadUInt64LittleEndian(b);
                return w == ((BaseType & 0x1F) == 15 ? ulong.MaxValue : 0) ? null : w;
            default:
                return null;
        }
    }

    /// <summary>A string field up to its zero byte.</summary>
    public string Text(ReadOnlySpan<byte> message)
    {
        var b = message.Slice(At, Size);
        int zero = b.IndexOf((byte)0);
        return Encoding.UTF8.GetString(zero < 0 ? b : b[..zero]);
    }
}

/// <summary>A message's layout, as the file itself declares it.</summary>
internal sealed class FitDefinition(int global, bool big, FitField[] fields, FitField[] developer, byte[] developerIndex, int size)
{
    public int Global { get; } = global;

    public bool Big { get; } = big;

    public FitField[] Fields { get; } = fields;

    public FitField[] Developer { get; } = developer;

    public byte[] DeveloperIndex { get; } = developerIndex;

    /// <summary>Bytes of a message of this kind, without its header byte.</summary>
    public int Size { get; } = size;

    public double? Get(ReadOnlySpan<byte> message, byte number, int index = 0)
    {
        foreach (ref readonly var f in Fields.AsSpan())
        {
            if (f.Number == number)
            {
                return f.Number64(message, Big, index);
            }
        }

        return null;
    }

    public FitField? Field(byte number)
    {
        foreach (var f in Fields)
        {
            if (f.Number == number)
            {
                return f;
            }
        }

        return null;
    }
}
