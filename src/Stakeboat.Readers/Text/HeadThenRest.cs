namespace Stakeboat.Readers.Text;

/// <summary>The bytes already looked at, then the rest of their stream: sniffing needs no seeking.</summary>
internal sealed class HeadThenRest(ReadOnlyMemory<byte> head, Stream rest) : Stream
{
    private int _at;

    public override bool CanRead => true;

    public override bool CanSeek => false;

    public override bool CanWrite => false;

    public override long Length => throw new NotSupportedException();

    public override long Position { get => throw new NotSupportedException(); set => throw new NotSupportedException(); }

    public override int Read(byte[] buffer, int offset, int count) => Read(buffer.AsSpan(offset, count));

    public override int Read(Span<byte> buffer)
    {
        if (_at < head.Length)
        {
            int n = Math.Min(buffer.Length, head.Length - _at);
            head.Span.Slice(_at, n).CopyTo(buffer);
            _at += n;
            return n;
        }

        return rest.Read(buffer);
    }

    public override void Flush()
    {
    }

    public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

    public override void SetLength(long value) => throw new NotSupportedException();

    public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();
}
