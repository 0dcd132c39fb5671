using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using BenchmarkDotNet.Attributes;
using Stakeboat.Core.Calls.Learned;

namespace Stakeboat.Bench.Calls;

/// <summary>The learned ear on some 800 words, seven minutes' talk: the input of oracles/ear/speed.py, whose framework is the peer.</summary>
[ShortRunJob]
[MemoryDiagnoser]
public class EarBench
{
    private List<CallToken> _tokens = null!;
    private EarContext _context = null!;

    [GlobalSetup]
    public void Setup() => (_tokens, _context) = Input();

    [Benchmark]
    public int Read() => LearnedEar.Default.Read(_tokens, _context).Count;

    /// <summary>Plain timing for a ratio against the peer: the best of several runs in this process.</summary>
    public static int Time()
    {
        var (tokens, context) = Input();
        double net = double.PositiveInfinity, features = double.PositiveInfinity, whole = double.PositiveInfinity, cpu = double.PositiveInfinity;
        int found = 0;
        for (int i = 0; i < 20; i++)
        {
            features = Math.Min(features, Milliseconds(() => LearnedEar.Features(tokens, context)));
            var used = Environment.CpuUsage.TotalTime;
            net = Math.Min(net, Milliseconds(() => LearnedEar.Default.States(tokens, context)));
            cpu = Math.Min(cpu, (Environment.CpuUsage.TotalTime - used).TotalMilliseconds);
            whole = Math.Min(whole, Milliseconds(() => found = LearnedEar.Default.Read(tokens, context).Count));
        }

        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{tokens.Count} words: features {features:0} ms, with the net {net:0} ms ({cpu:0} ms of processor), all {whole:0} ms, {found} candidates, {Environment.ProcessorCount} processors"));
        return 0;
    }

    private static double Milliseconds(Action what)
    {
        long at = Stopwatch.GetTimestamp();
        what();
        return Stopwatch.GetElapsedTime(at).TotalMilliseconds;
    }

    private static (List<CallToken> Tokens, EarContext Context) Input()
    {
        string? root = AppContext.BaseDirectory;
        while (root is not null && !File.Exists(Path.Combine(root, "Stakeboat.slnx")))
        {
            root = Path.GetDirectoryName(root);
        }

        using var samples = JsonDocument.Parse(File.ReadAllText(Path.Combine(root!, "oracles", "ear", "samples.json")));
        var longest = samples.RootElement.GetProperty("samples").EnumerateArray().MaxBy(s => s.GetProperty("words").GetArrayLength());
        var once = new List<CallToken>();
        for (int i = 0; i < longest.GetProperty("words").GetArrayLength(); i++)
        {
            once.Add(new CallToken(longest.GetProperty("words")[i].GetString()!, longest.GetProperty("breaks")[i].GetBoolean(), longest.GetProperty("cues")[i].GetInt32()));
        }

        List<string> Strings(string name) => [.. longest.GetProperty(name).EnumerateArray().Select(x => x.GetString()!)];
        return ([.. once, .. once], new EarContext(longest.GetProperty("us").GetString(), Strings("crews"), null, "race", Strings("names"), 8, 2000));
    }
}
