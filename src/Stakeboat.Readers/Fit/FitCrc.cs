namespace Stakeboat.Readers.Fit;

/// <summary>CRC-16/ARC as the FIT protocol description has it: reflected polynomial A001, start 0, by half bytes. "123456789" gives BB3D.</summary>
public static class FitCrc
{
    private static readonly ushort[] s_nibble =
    [
        0x0000, 0xCC01, 0xD801, 0x1400, 0xF001, 0x3C00, 0x2800, 0xE401, 0xA001, 0x6C00, 0x7800, 0xB401, 0x5000, 0x9C01, 0x8801, 0x4400,
    ];

    public static ushort Of(ReadOnlySpan<byte> bytes, ushort start = 0)
    {
        int crc = start;
        foreach (byte b in bytes)
        {
            crc = (crc >> 4) ^ s_nibble[crc & 15] ^ s_nibble[b & 15];
            crc = (crc >> 4) ^ s_nibble[crc & 15] ^ s_nibble[b >> 4];
        }

        return (ushort)crc;
    }
}
