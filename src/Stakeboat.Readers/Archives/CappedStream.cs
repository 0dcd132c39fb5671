namespace Stakeboat.Readers.Archives;

/// <summary>Bytes of an archive's entry, counted as they come out: whatever size the archive declares, reading ends at the cap.</summary>
internal sealed class CappedStream(Stream inner, long cap) : Stream
{
    private long _read;

    /// <summary>True once there was more than the cap.</summary>
    public bool Overflowed { get; private set; }

    public long BytesRead => _read;

    public override bool CanRead => true;

    public override bool CanSeek => false;

    public override bool CanWrite => false;

    public override long Length => throw new NotSupportedException();

    public override long Position { get => _read; set => throw new NotSupportedException(); }

    public override int Read(byte[] buffer, int offset, int count) => Read(buffer.AsSpan(offset, count));

    public override int Read(Span<byte> buffer)
    {
        if (Overflowed)
        {
            return 0;
        }

        int n = inner.Read(buffer);
        if (_read + n > cap)
        {
            Overflowed = true;
            n = (int)(cap - _read);
        }

        _read += n;
        return n;
    }

    public override void Flush()
    {
    }

    public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

    public override void SetLength(long value) => throw new NotSupportedException();

    public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();
}
