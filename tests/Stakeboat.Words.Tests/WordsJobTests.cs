using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Sound;
using Stakeboat.Words.Recognisers;
using Stakeboat.Words.Speech;

namespace Stakeboat.Words.Tests;

/// <summary>The job around a recogniser, with a stand-in at the door's own interface: it counts stretches and names them, no transcript is pretended.</summary>
public class WordsJobTests
{
    private sealed class StandIn(Action<int>? each = null) : IRecogniser
    {
        public int Calls { get; private set; }

        public string Name => "stand-in";

        public RecogniserState Check() => new(true, "");

        public IReadOnlyList<RecognisedWord> Recognise(ReadOnlySpan<float> samples, RecogniserHints hints, CancellationToken cancel)
        {
            cancel.ThrowIfCancellationRequested();
            Calls++;
            each?.Invoke(Calls);
            return [new RecognisedWord(0.1, 0.4, "stretch", 0.5)];
        }
    }

    /// <summary>Bursts of a hummed syllable every 1.2 s between two instants, over faint noise.</summary>
    private static byte[] Sound(double seconds, params (double From, double To)[] speech)
    {
        var random = new Random(7);
        var x = new float[(int)(seconds * 16000)];
        for (int i = 0; i < x.Length; i++)
        {
            double t = i / 16000.0;
            bool on = speech.Any(s => t >= s.From && t < s.To) && t % 1.2 < 0.8;
            double phase = 2 * Math.PI * 180 * (t + 0.012 * Math.Sin(2 * Math.PI * 2.3 * t)), voice = on ? 0.3 * (Math.Sin(phase) + Math.Sin(4 * phase) + 0.5 * Math.Sin(8 * phase)) * (0.6 + 0.4 * Math.Sin(2 * Math.PI * 4 * t)) : 0;
            x[i] = (float)(0.5 * voice + 0.0003 * (random.NextDouble() - 0.5));
        }

        string file = Path.GetTempFileName();
        WavFile.Write(file, x, 16000);
        byte[] bytes = File.ReadAllBytes(file);
        File.Delete(file);
        return bytes;
    }

    private static WordsJob Job(byte[] sound, IRecogniser recogniser, string? log = null) =>
        new(() => new MemoryStream(sound), "outing.wav", recogniser, RecogniserHints.None, log);

    [Fact]
    public void WordsStandOnTheRecordingsClock()
    {
        var result = Job(Sound(60, (20, 30)), new StandIn()).Run();
        Assert.Equal(SoundVerdict.Speech, result.Verdict);
        var word = Assert.Single(result.Words);
        Assert.InRange(word.Start, 19.6, 20.4);
        Assert.Equal(60, result.Seconds, 1);
    }

    [Fact]
    public void TheBusiestPartIsRecognisedFirst()
    {
        // A few words early, the race late: the first stretch done lies in the race.
        double first = double.NaN;
        Job(Sound(1500, (30, 40), (1000, 1300)), new StandIn()).Run(p => first = double.IsNaN(first) && p.Newest.Count > 0 ? p.Newest[0].Start : first);
        Assert.InRange(first, 1000, 1300);
    }

    [Fact]
    public void AKilledJobGoesOnWhereItStopped()
    {
        byte[] sound = Sound(300, (10, 290));
        string log = Path.Combine(Directory.CreateTempSubdirectory("stakeboat-test-").FullName, "job.part");
        using var cancel = new CancellationTokenSource();
        var killed = new StandIn(n =>
        {
            if (n == 4)
            {
                cancel.Cancel();
            }
        });
        Assert.Throws<OperationCanceledException>(() => Job(sound, killed, log).Run(null, cancel.Token));

        // Half a line at the end, as a kill leaves it.
        File.AppendAllText(log, "{\"From\":12.");
        var again = new StandIn();
        var result = Job(sound, again, log).Run();
        var whole = new StandIn();
        var once = Job(sound, whole).Run();
        Assert.Equal(whole.Calls - 4, again.Calls);
        Assert.Equal(once.Words, result.Words);
    }

    [Fact]
    public void ALogOfAnotherRecordingIsNotUsed()
    {
        string log = Path.Combine(Directory.CreateTempSubdirectory("stakeboat-test-").FullName, "job.part");
        Job(Sound(60, (20, 30)), new StandIn(), log).Run();
        var other = new StandIn();
        Job(Sound(60, (40, 50)), other, log).Run();
        Assert.Equal(1, other.Calls);
    }

    [Fact]
    public void SilenceIsSaid()
    {
        var result = Job(Sound(30), new StandIn()).Run();
        Assert.Empty(result.Words);
        Assert.Equal(SoundVerdict.Silence, result.Verdict);
        Assert.StartsWith("outing.wav: the recording is silent.", result.Sentence);
    }

    [Fact]
    public void ATextNamedAsSoundIsASentence()
    {
        byte[] text = "This is no sound at all, only a text that somebody named so.\n"u8.ToArray();
        var job = new WordsJob(() => new MemoryStream(text), "race.mp3", new StandIn(), RecogniserHints.None);
        Assert.Contains("race.mp3", Assert.Throws<RecogniserException>(() => job.Run()).Message);
    }

    [Fact]
    public void SpeechIsFoundWhereItIs_AndLongStretchesAreCut()
    {
        using var reader = SoundReader.Open(new MemoryStream(Sound(200, (20, 140))), "x.wav", SpeechSound.Rate).Value!;
        var map = SpeechFinder.Find(reader, null, default);
        Assert.InRange(map.Stretches.Min(s => s.From), 19, 21);
        Assert.InRange(map.Stretches.Max(s => s.To), 138, 141);
        Assert.All(map.Stretches, s => Assert.InRange(s.To - s.From, 0.1, SpeechFinder.LongestStretch + 0.01));
        Assert.InRange(map.Centre, 60, 120);
    }

    /// <summary>A quarter of an hour of sound that is made while it is read, so that the test itself holds none of it.</summary>
    private sealed class EndlessTalk(double seconds) : Stream
    {
        private readonly byte[] _head = Head((int)(seconds * 16000));
        private long _at;

        private static byte[] Head(int samples)
        {
            string file = Path.GetTempFileName();
            WavFile.Write(file, [], 16000);
            byte[] head = File.ReadAllBytes(file);
            File.Delete(file);
            BitConverter.TryWriteBytes(head.AsSpan(4), 36 + 2 * samples);
            BitConverter.TryWriteBytes(head.AsSpan(40), 2 * samples);
            return head;
        }

        public override bool CanRead => true;

        public override bool CanSeek => true;

        public override bool CanWrite => false;

        public override long Length => 44 + 2 * (long)(seconds * 16000);

        public override long Position { get => _at; set => _at = value; }

        public override int Read(byte[] buffer, int offset, int count)
        {
            int n = 0;
            for (; n < count && _at < Length; n++, _at++)
            {
                buffer[offset + n] = _at < 44 ? _head[_at] : At(_at - 44);
            }

            return n;
        }

        private static byte At(long b)
        {
            double t = b / 2 / 16000.0, phase = 2 * Math.PI * 180 * (t + 0.012 * Math.Sin(2 * Math.PI * 2.3 * t));
            short x = (short)(t % 1.6 < 0.9 ? 6000 * (Math.Sin(phase) + Math.Sin(4 * phase)) : b / 2 % 7);
            return (byte)(b % 2 == 0 ? x : x >> 8);
        }

        public override long Seek(long offset, SeekOrigin origin) => _at = origin switch { SeekOrigin.Begin => offset, SeekOrigin.Current => _at + offset, _ => Length + offset };

        public override void Flush()
        {
        }

        public override void SetLength(long value) => throw new NotSupportedException();

        public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();
    }

    [Fact]
    public void ALongRecordingTakesTheMemoryOfAShortOne()
    {
        // Live memory each time a stretch is done: it may grow by the words and the hundred numbers a second that are kept, not by sound.
        var live = new List<long>();
        new WordsJob(() => new EndlessTalk(900), "long.wav", new StandIn(_ => live.Add(GC.GetTotalMemory(forceFullCollection: true))), RecogniserHints.None).Run();
        Assert.True(live.Count > 25, $"{live.Count} stretches");
        Assert.InRange(live[^1] - live[2], long.MinValue, 1_000_000);
    }

    [Fact]
    public void ACancelEndsTheCommandAtOnce()
    {
        string folder = Directory.CreateTempSubdirectory("stakeboat-test-").FullName, pid = Path.Combine(folder, "pid"), script = Path.Combine(folder, "slow.sh");
        File.WriteAllText(script, $"#!/bin/sh\necho $$ >{pid}.new\nmv {pid}.new {pid}\nexec sleep 600\n");
        using var recogniser = new CommandRecogniser(CommandDescription.Parse($"slow | sh {script} {{wav}} | words"));
        using var cancel = new CancellationTokenSource();
        using var watch = new FileSystemWatcher(folder, "pid");
        watch.Renamed += (_, _) => cancel.Cancel();
        watch.EnableRaisingEvents = true;

        // Were it not ended, this would take ten minutes.
        Assert.ThrowsAny<OperationCanceledException>(() => Job(Sound(60, (20, 30)), recogniser).Run(null, cancel.Token));
        Assert.False(Directory.Exists("/proc/" + File.ReadAllText(pid).Trim()));
    }

    [Fact]
    public void LevellingBringsQuietTalkUp_AndAKnockDown()
    {
        var x = new float[16000 * 2];
        for (int i = 0; i < x.Length; i++)
        {
            x[i] = (float)(0.01 * Math.Sin(2 * Math.PI * 300 * i / 16000.0));
        }

        for (int i = 16000; i < 16160; i++)
        {
            x[i] = 0.9f * (i % 2 == 0 ? 1 : -1);
        }

        SpeechSound.Level(x);
        double Peak(int from, int to) => Enumerable.Range(from, to - from).Max(i => Math.Abs(x[i]));
        Assert.InRange(Peak(4000, 12000), 0.08, 0.3);
        Assert.True(Peak(15900, 16300) < 6 * Peak(4000, 12000));
    }

    [Fact]
    public void CaptionsBreakAtPauses()
    {
        var track = WordsJob.ToCaptions("x", [new(0, 0.3, "up", 0.9), new(0.3, 0.6, "two", 0.9), new(2, 2.4, "level", 0.5)]);
        Assert.Equal(["up two", "level"], track.Cues.Select(c => c.Text));
        Assert.Equal(CaptionTiming.Words, track.Timing);
        Assert.Contains("00:00:02.000 --> 00:00:02.400\nlevel", Exchange.CaptionText.WebVtt(track));
    }
}
