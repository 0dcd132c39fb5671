using System.Diagnostics;
using System.Globalization;

namespace Stakeboat.Readers.Fuzz;

/// <summary>What a run found.</summary>
/// <param name="Inputs">Inputs that were read.</param>
/// <param name="Kept">Inputs that showed something new and became seeds themselves.</param>
/// <param name="Slowest">Longest time of one input, ms; of those over a second, the shortest of three further tries.</param>
/// <param name="MostBytes">Most bytes that one input cost.</param>
/// <param name="MostRatio">Most bytes beyond the target's constant, for each byte of input.</param>
/// <param name="Failures">A sentence for each kind of failure, with the input in base 64.</param>
public sealed record FuzzResult(string Target, long Inputs, int Kept, double Slowest, long MostBytes, double MostRatio, IReadOnlyList<string> Failures);

/// <summary>
/// Mutation fuzzing led by outcome: an input that brings a new set of issues, or a new shape of what was read, joins the seeds. Everything follows from the
/// seed number, so a run can be had again.
/// </summary>
public sealed class FuzzRun(Target target, ulong seed, Action<string>? found = null)
{
    /// <summary>Most inputs that are kept as seeds.</summary>
    private const int Population = 512;

    private static readonly TimeSpan s_hang = TimeSpan.FromSeconds(1);

    private readonly List<byte[]> _seeds = [];
    private readonly HashSet<ulong> _seen = [];
    private readonly Dictionary<string, string> _failures = [];
    private double _slowest, _ratio;
    private long _most, _began;
    private volatile byte[] _now = [];

    public FuzzResult Run(long inputs)
    {
        foreach (string folder in target.Folders)
        {
            _seeds.AddRange(Directory.EnumerateFiles(SeedFolder(folder)).Order(StringComparer.Ordinal).Select(File.ReadAllBytes));
        }

        int original = _seeds.Count, longest = Math.Max(512, _seeds.Max(s => s.Length) * 2);
        foreach (byte[] s in _seeds.ToArray())
        {
            Try(s);
        }

        using var watch = new Timer(_ => Watch(), null, 1000, 1000);
        for (long i = 0; i < inputs && _failures.Count < 20; i++)
        {
            var dice = new Dice(seed ^ ((ulong)i * 0xD1342543DE82EF95));
            byte[] x = dice.OneIn(3) ? _seeds[dice.Below(original)] : dice.Of(_seeds);
            for (int n = 1 + dice.Below(4); n > 0; n--)
            {
                x = dice.OneIn(3) ? ByteBending.Bend(x, dice.Of(_seeds), dice) : target.Bend(x, dice.Of(_seeds), dice);
            }

            if (x.Length > longest * 4)
            {
                x = x[..longest];
            }

            if (Try(x) && x.Length <= longest)
            {
                if (_seeds.Count < original + Population)
                {
                    _seeds.Add(x);
                }
                else
                {
                    _seeds[original + dice.Below(Population)] = x;
                }
            }
        }

        return new FuzzResult(target.Name, inputs, _seen.Count, _slowest, _most, _ratio, [.. _failures.Values]);
    }

    // Reads one input; true where it showed something new.
    private bool Try(byte[] x)
    {
        long before = GC.GetAllocatedBytesForCurrentThread();
        long started = Stopwatch.GetTimestamp();
        _now = x;
        Volatile.Write(ref _began, started);
        ulong signature;
        try
        {
            signature = Signature(target.Read(x));
        }
#pragma warning disable CA1031 // Whatever leaves a reader is a finding.
        catch (Exception e)
        {
            string where = e.StackTrace?.Split('\n').Select(l => l.Trim()).FirstOrDefault(l => l.Contains("Stakeboat", StringComparison.Ordinal) && !l.Contains("Fuzz", StringComparison.Ordinal)) ?? "";
            Fail($"{e.GetType().Name} {(e is BrokenPromiseException ? e.Message : "")}{where}", $"{e.GetType().Name}: {e.Message} {where}", x);
            return false;
        }
#pragma warning restore CA1031
        finally
        {
            Volatile.Write(ref _began, 0);
        }

        long bytes = GC.GetAllocatedBytesForCurrentThread() - before;
        var took = Stopwatch.GetElapsedTime(started);
        _most = Math.Max(_most, bytes);
        _ratio = Math.Max(_ratio, (bytes - target.Constant) / (double)Math.Max(1, x.Length));
        if (bytes > target.Allowance(x.Length))
        {
            Fail("allocation", string.Create(CultureInfo.InvariantCulture, $"{bytes} bytes were allocated for an input of {x.Length}"), x);
        }

        if (took > s_hang)
        {
            took = Again(x);
            if (took > s_hang)
            {
                Fail("time", string.Create(CultureInfo.InvariantCulture, $"an input took {took.TotalSeconds:0.0} s, four times over"), x);
            }
        }

        _slowest = Math.Max(_slowest, took.TotalMilliseconds);
        return _seen.Count < 100_000 && _seen.Add(signature);
    }

    // A busy machine can hold up any input: the quickest of three counts.
    private TimeSpan Again(byte[] x)
    {
        var best = TimeSpan.MaxValue;
        for (int i = 0; i < 3; i++)
        {
            long started = Stopwatch.GetTimestamp();
            target.Read(x);
            var took = Stopwatch.GetElapsedTime(started);
            best = took < best ? took : best;
        }

        return best;
    }

    // An input that never ends cannot be caught from its own thread.
    private void Watch()
    {
        long began = Volatile.Read(ref _began);
        if (began != 0 && Stopwatch.GetElapsedTime(began) > TimeSpan.FromSeconds(60))
        {
            Environment.FailFast($"{target.Name}: an input has not come back for 60 s: {Convert.ToBase64String(_now)}");
        }
    }

    private void Fail(string kind, string what, byte[] x)
    {
        string sentence = $"{target.Name}: {what}; input of {x.Length.ToString(CultureInfo.InvariantCulture)} bytes: {Convert.ToBase64String(x)}";
        if (_failures.TryAdd(kind, sentence))
        {
            found?.Invoke(sentence);
        }
    }

    // Which sentences were said (numbers aside) and what came out.
    private static ulong Signature((IReadOnlyList<ReadingIssue> Issues, int Shape) outcome)
    {
        ulong h = (ulong)outcome.Shape;
        foreach (var i in outcome.Issues)
        {
            ulong own = (ulong)i.Severity + 1469598103934665603;
            foreach (char c in i.What)
            {
                if (!char.IsAsciiDigit(c))
                {
                    own = (own ^ c) * 1099511628211;
                }
            }

            h += own * (i.Count > 1 ? 3ul : 1ul);
        }

        return h;
    }

    private static string SeedFolder(string name)
    {
        string? at = AppContext.BaseDirectory;
        while (at is not null && !File.Exists(Path.Combine(at, "Stakeboat.slnx")))
        {
            at = Path.GetDirectoryName(at);
        }

        return Path.Combine(at ?? throw new DirectoryNotFoundException("Stakeboat.slnx was not found above the program."), "tests", "fuzz", "seeds", name);
    }
}
