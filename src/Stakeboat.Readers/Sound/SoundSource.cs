namespace Stakeboat.Readers.Sound;

/// <summary>A decoder that is pulled: interleaved samples in [-1, 1], in constant memory.</summary>
internal abstract class SoundSource : IDisposable
{
    public abstract int SampleRate { get; }

    public abstract int Channels { get; }

    /// <summary>Frames (samples of each channel) as the file's own head says; null where it says nothing.</summary>
    public virtual long? TotalFrames => null;

    public abstract string Codec { get; }

    /// <summary>How far the zero of the sound may lie off, s.</summary>
    public virtual double StartUncertainty => 0;

    /// <summary>Fills whole frames; returns the number of values, 0 at the end.</summary>
    public abstract int Read(Span<float> interleaved);

    /// <summary>Goes to a frame where that is cheap; returns the frame that comes next (never later than asked), 0 where nothing was done.</summary>
    public virtual long SeekNear(long frame) => 0;

    protected virtual void Dispose(bool disposing)
    {
    }

    public void Dispose()
    {
        Dispose(true);
        GC.SuppressFinalize(this);
    }
}
