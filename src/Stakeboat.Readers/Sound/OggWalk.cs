using System.Buffers.Binary;

namespace Stakeboat.Readers.Sound;

/// <summary>Pages and packets of one logical stream of an Ogg file (RFC 3533), with the page checksums held.</summary>
internal sealed class OggWalk(Stream stream, IssueLog log)
{
    /// <summary>Largest packet that is put together; an Opus packet has at most 61 440 bytes (RFC 6716 section 3.4: 48 frames of 1275 bytes).</summary>
    private const int MaxPacket = 1 << 20;

    private static readonly uint[] s_crc = Table();
    private readonly byte[] _page = new byte[27 + 255 + (255 * 255)];
    private readonly MemoryStream _packet = new();
    private int _pageLength;
    private int _segment;
    private int _segments;
    private int _body;
    private bool _skipRest;
    private uint? _serial;

    /// <summary>Granule position of the page on which the last packet ended, when it was the last to end there; else -1.</summary>
    public long Granule { get; private set; } = -1;

    /// <summary>True where the last packet ended the stream.</summary>
    public bool LastPage { get; private set; }

    /// <summary>Set when a new logical stream begins after the one that was read.</summary>
    public bool NewStream { get; private set; }

    public ReadOnlySpan<byte> Packet => _packet.GetBuffer().AsSpan(0, (int)_packet.Length);

    /// <summary>The next whole packet.</summary>
    public bool NextPacket()
    {
        _packet.SetLength(0);
        NewStream = false;
        while (true)
        {
            if (_segment >= _segments)
            {
                if (!NextPage())
                {
                    return false;
                }

                if (NewStream)
                {
                    _packet.SetLength(0);
                    _skipRest = false;
                }

                bool continued = (_page[5] & 1) != 0;
                if (!continued && _packet.Length > 0)
                {
                    log.Warn("", "An Ogg packet was never finished.", "It was left out.");
                    _packet.SetLength(0);
                }

                _skipRest = continued && _packet.Length == 0;
            }

            while (_segment < _segments)
            {
                int n = _page[27 + _segment++];
                if (!_skipRest && _packet.Length + n <= MaxPacket)
                {
                    _packet.Write(_page, _body, n);
                }

                _body += n;
                if (n < 255)
                {
                    if (_skipRest)
                    {
                        _skipRest = false;
                        _packet.SetLength(0);
                        continue;
                    }

                    bool lastHere = !_page.AsSpan(27 + _segment, _segments - _segment).ContainsAnyExcept((byte)255);
                    Granule = lastHere ? BinaryPrimitives.ReadInt64LittleEndian(_page.AsSpan(6)) : -1;
                    LastPage = lastHere && (_page[5] & 4) != 0;
                    return true;
                }
            }
        }
    }

    /// <summary>Goes on to the last page whose granule position is at most <paramref name="granule"/>, reading page heads alone; the decoder must then be reset.</summary>
    public long SkipPagesTo(long granule)
    {
        if (!stream.CanSeek || _serial is null)
        {
            return -1;
        }

        long reached = -1, best = stream.Position;
        Span<byte> h = stackalloc byte[27 + 255];
        while (true)
        {
            long at = stream.Position;
            if (stream.ReadAtLeast(h[..27], 27, false) < 27 || !h.StartsWith("OggS"u8) || BinaryPrimitives.ReadUInt32LittleEndian(h[14..]) != _serial)
            {
                break;
            }

            int segments = h[26];
            if (stream.ReadAtLeast(h.Slice(27, segments), segments, false) < segments)
            {
                break;
            }

            int body = 0;
            foreach (byte b in h.Slice(27, segments))
            {
                body += b;
            }

            long g = BinaryPrimitives.ReadInt64LittleEndian(h[6..]);
            if (g > granule)
            {
                break;
            }

            if (stream.Position + body > stream.Length)
            {
                break;
            }

            stream.Position += body;
            if (g >= 0)
            {
                reached = g;
                best = stream.Position;
            }
        }

        stream.Position = best;
        if (reached >= 0)
        {
            _segment = _segments = 0;
            _packet.SetLength(0);
        }

        return reached;
    }

    private bool NextPage()
    {
        int have = stream.ReadAtLeast(_page.AsSpan(0, 27), 27, false);
        bool lost = false;
        while (have == 27)
        {
            if (!_page.AsSpan(0, 4).SequenceEqual("OggS"u8))
            {
                lost = true;
                int next = _page.AsSpan(1, 26).IndexOf((byte)'O');
                int keep = next < 0 ? 0 : 26 - next;
                _page.AsSpan(27 - keep, keep).CopyTo(_page);
                have = keep + stream.ReadAtLeast(_page.AsSpan(keep, 27 - keep), 27 - keep, false);
                continue;
            }

            _segments = _page[26];
            if (stream.ReadAtLeast(_page.AsSpan(27, _segments), _segments, false) < _segments)
            {
                break;
            }

            _body = 27 + _segments;
            int body = 0;
            for (int i = 0; i < _segments; i++)
            {
                body += _page[27 + i];
            }

            if (stream.ReadAtLeast(_page.AsSpan(_body, body), body, false) < body)
            {
                break;
            }

            _segment = 0;
            _pageLength = _body + body;
            if (!Checksum())
            {
                log.Warn("", "An Ogg page is damaged.", "It was left out; the sound after it may lie early.");
                _segments = 0;
                have = stream.ReadAtLeast(_page.AsSpan(0, 27), 27, false);
                continue;
            }

            uint serial = BinaryPrimitives.ReadUInt32LittleEndian(_page.AsSpan(14));
            bool begins = (_page[5] & 2) != 0;
            if (_serial is null || (begins && LastPage))
            {
                NewStream = _serial is not null;
                _serial = serial;
            }
            else if (serial != _serial)
            {
                log.Note("", "The Ogg file holds a second stream beside the sound.", "It was passed over.");
                _segments = 0;
                have = stream.ReadAtLeast(_page.AsSpan(0, 27), 27, false);
                continue;
            }

            if (lost)
            {
                log.Warn("", "There are bytes between the Ogg pages.", "They were passed over.");
            }

            return true;
        }

        _segments = _segment = 0;
        if (have > 0)
        {
            log.Warn("", "The Ogg file breaks off.", "What is there was read.");
        }

        return false;
    }

    private bool Checksum()
    {
        uint written = BinaryPrimitives.ReadUInt32LittleEndian(_page.AsSpan(22)), c = 0;
        for (int i = 0; i < _pageLength; i++)
        {
            byte b = i is >= 22 and < 26 ? (byte)0 : _page[i];
            c = (c << 8) ^ s_crc[(c >> 24) ^ b];
        }

        return c == written;
    }

    private static uint[] Table()
    {
        var t = new uint[256];
        for (uint i = 0; i < 256; i++)
        {
            uint c = i << 24;
            for (int k = 0; k < 8; k++)
            {
                c = (c & 0x80000000) != 0 ? (c << 1) ^ 0x04C11DB7 : c << 1;
            }

            t[i] = c;
        }

        return t;
    }

    /// <summary>Granule position of the last page of a file that can be sought; -1 where none was found. The position is put back.</summary>
    public static long LastGranule(Stream stream)
    {
        if (!stream.CanSeek)
        {
            return -1;
        }

        long back = stream.Position;
        var tail = new byte[(int)Math.Min(stream.Length, 1 << 17)];
        stream.Position = stream.Length - tail.Length;
        int have = stream.ReadAtLeast(tail, tail.Length, false);
        stream.Position = back;
        var t = tail.AsSpan(0, have);
        for (int at = t.LastIndexOf("OggS"u8); at >= 0; at = t[..at].LastIndexOf("OggS"u8))
        {
            if (at + 14 <= have && BinaryPrimitives.ReadInt64LittleEndian(t[(at + 6)..]) is var g and >= 0 and < (1L << 50))
            {
                return g;
            }
        }

        return -1;
    }
}
