using Stakeboat.Core.Measurement;
using Stakeboat.Core.Signals;

namespace Stakeboat.Readers.Sound;

/// <summary>Listens to a whole recording for where sound begins: what the rhythm of the boat is sought in. About a fiftieth of the recording's length.</summary>
public static class OnsetReader
{
    /// <summary>Samples a second; knocks of rowlocks and seats need what lies above 4 kHz (at 8 kHz one reading in four more is wrong on the labelled recordings).</summary>
    private const int Rate = 16000;

    public static Reading<SoundOnsets> Read(Stream stream, string name)
    {
        var opened = SoundReader.Open(stream, name, Rate);
        if (opened.Value is not { } reader)
        {
            return new Reading<SoundOnsets>(null, opened.Issues);
        }

        using (reader)
        {
            double[] values = OnsetEnvelope.Of(block => reader.Read(block), Rate);
            return new Reading<SoundOnsets>(new SoundOnsets(values, OnsetEnvelope.Hz, reader.StartSeconds + OnsetEnvelope.FirstAt), reader.Issues);
        }
    }
}
