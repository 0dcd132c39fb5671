using NVorbis;
using NVorbis.Contracts;

namespace Stakeboat.Readers.Sound;

/// <summary>
/// Hands the packets of our own Ogg walk to NVorbis' decoder. Its own page reader is left aside: it trusts positions that a damaged file gives, and with
/// some of them it never comes back. No packet carries a position or an end here; both are kept by <see cref="VorbisSource"/>.
/// </summary>
internal sealed class VorbisPackets(OggWalk ogg, byte[] identification, byte[] setup) : NVorbis.Contracts.IPacketProvider
{
    // A packet of comments that holds none: what the file has there (pictures too) is no sound.
    private static readonly byte[] s_noComments = [3, (byte)'v', (byte)'o', (byte)'r', (byte)'b', (byte)'i', (byte)'s', 0, 0, 0, 0, 0, 0, 0, 0, 1];

    private int _head;
    private BytePacket? _next;

    public bool CanSeek => false;

    public int StreamSerial => 0;

    /// <summary>Packets of sound handed out so far.</summary>
    public long Handed { get; private set; }

    /// <summary>Position that the file gives for the end of the packet handed out last; -1 where it gives none.</summary>
    public long Granule { get; private set; } = -1;

    public IPacket? GetNextPacket()
    {
        var p = PeekNextPacket();
        _next = null;
        if (p is not null)
        {
            if (_head < 3)
            {
                _head++;
            }
            else
            {
                Handed++;
                Granule = ogg.Granule;
            }
        }

        return p;
    }

    public IPacket? PeekNextPacket() => _next ??= _head switch
    {
        0 => new BytePacket(identification),
        1 => new BytePacket(s_noComments),
        2 => new BytePacket(setup),
        _ => Sound(),
    };

    public long GetGranuleCount() => 0;

    public long SeekTo(long granulePos, int preRoll, GetPacketGranuleCount getPacketGranuleCount) => throw new NotSupportedException();

    private BytePacket? Sound()
    {
        while (ogg.NextPacket())
        {
            if (ogg.NewStream)
            {
                return null; // another recording in the same file
            }

            if (ogg.Packet.Length > 0)
            {
                return new BytePacket(ogg.Packet.ToArray());
            }
        }

        return null;
    }

    private sealed class BytePacket(byte[] bytes) : DataPacket
    {
        private int _at;

        protected override int TotalBits => bytes.Length * 8;

        protected override int ReadNextByte() => _at < bytes.Length ? bytes[_at++] : -1;

        public override void Reset()
        {
            _at = 0;
            base.Reset();
        }
    }
}
