using Stakeboat.Core.Calls;
using Stakeboat.Core.Calls.Sounds;

namespace Stakeboat.Core.Tests.Calls;

/// <summary>
/// Sentences of our own, put together here and not taken from the labelled lines, spoiled word by word: each word is replaced with the given
/// probability by one of its eight nearest neighbours in sound among the words that coxswains use; besides, where anything is spoiled, 3 % of
/// the words are left out and 5 % put in. One sentence in seven is talk without a call. The limits hold what is reached (about .80, .68 and .53),
/// less than what is wanted (.92, .88, .82): docs/calls/accuracy.md.
/// </summary>
public class SpoilingSynthetic
{
    private static readonly string[] Crews = ["Larkmoor", "Tannery"];
    private static readonly string[] Tens = ["thirty", "thirty one", "thirty two", "thirty three", "thirty four", "thirty five", "thirty six", "thirty seven", "thirty eight"];
    private static readonly string[] Digits = ["one", "two", "three", "four", "five", "six", "seven", "eight"];

    private static readonly string[] Idle =
    [
        "somebody left a bottle on the dock again", "the launch driver wants a word with us afterwards", "what a lovely morning this turned out to be", "mind the ducks over there by the reeds",
        "my headset battery is getting low", "who has the spare spanner today", "we can talk about that on land",
    ];

    private readonly record struct Spoken(string Text, Call? Call);

    private static Spoken Say(Random random)
    {
        string T(params string[] ways) => ways[random.Next(ways.Length)];
        int k = random.Next(1, 9);
        string seat = Digits[k - 1], crew = Crews[random.Next(2)];
        int r = random.Next(Tens.Length);
        bool half = random.Next(4) == 0;
        string rate = Tens[r] + (half ? " and a half" : "");
        double spm = 30 + r + (half ? 0.5 : 0);
        int few = random.Next(2, 6);
        string n = Digits[few - 1];
        switch (random.Next(19))
        {
            case 0 or 1:
                return new(T($"the rate is {rate}", $"we're at a {rate}", $"rate {rate}", $"sitting at {rate} now"), new RateCall(spm, RateSense.Now));
            case 2:
                return new(T($"bring it to a {rate}", $"give me {rate}", $"take it up to {rate}"), new RateCall(spm, RateSense.Wanted));
            case 3:
                return new(T("up two beats in two", "take it up two in two"), new RateChangeCall(2, 2, null));
            case 4:
                return new(T("split one forty two", "we're on a one forty two split"), new PaceCall(102));
            case 5:
                return new(T("through the thousand", "thousand metres gone", "that's the first thousand"), new DistanceCall(1000, DistanceSense.Gone));
            case 6:
                return new(T("last five hundred", "five hundred metres to go", "five hundred left"), new DistanceCall(500, DistanceSense.Left));
            case 7:
                return new(T("seven hundred and fifty metres to go", "seven fifty to go"), new DistanceCall(750, DistanceSense.Left));
            case 8:
                return new(T("two minutes gone", "that's two minutes in"), new TimeCall(120, TimeSense.Gone));
            case 9:
                return new(T("last ten strokes", "ten strokes to the line"), new StrokesToCall(10, StrokesTarget.Finish));
            case 10:
                return new(T("five strokes to the bridge", "five to the bridge"), new StrokesToCall(5, StrokesTarget.Mark));
            case 11:
                return new(T($"we're up {n} seats on {crew}", $"{n} seats up on {crew}"), new MarginCall(crew, "boat", null, few, null, null, false, Side.Ahead));
            case 12:
                return new(T($"{crew} are {n} seats up on us", $"we're {n} seats down on {crew}"), new MarginCall(crew, "boat", null, few, null, null, false, Side.Behind));
            case 13 or 14:
                return new(T($"i'm on {crew}'s {seat} seat", $"i'm level with {crew}'s {seat} seat"), new MarginCall(crew, "cox", seat, null, null, null, false, null));
            case 15:
                return new(T($"our bow ball is on {crew}'s {seat} seat", $"bow ball on {crew}'s {seat} man"), new MarginCall(crew, "bow", seat, null, null, null, false, null));
            case 16:
                return new(T($"half a length up on {crew}", $"we're up half a length on {crew}"), new MarginCall(crew, "boat", null, null, 0.5, null, false, Side.Ahead));
            case 17:
                return new(T($"took a seat off {crew}", $"we've taken a seat from {crew}", $"that's a seat gained on {crew}"), new TrendCall(crew, Who.Us, 1));
            default:
                return new(T($"we're level with {crew}", $"dead level with {crew}"), new MarginCall(crew, "boat", null, null, null, null, false, Side.Level));
        }
    }

    private static bool Right(Call heard, Call said) => (heard, said) switch
    {
        (RateCall a, RateCall b) => Math.Abs(a.Spm - b.Spm) <= 0.5,
        (RateChangeCall a, RateChangeCall b) => a.By == b.By,
        (StrokesToCall a, StrokesToCall b) => a.Strokes == b.Strokes,
        (TrendCall a, TrendCall b) => a.Who == b.Who && a.Crew == b.Crew,
        (MarginCall a, MarginCall b) => a.Crew == b.Crew && a.Seats == b.Seats && a.Lengths == b.Lengths && a.Side == (b.Side ?? a.Side) && Seat(a.Their) == Seat(b.Their) && (b.Their is null || a.Our == b.Our),
        _ => heard == said,
    };

    private static string? Seat(string? seat) => seat is null ? null : Array.IndexOf(Digits, seat) is >= 0 and var i ? (i + 1).ToString(System.Globalization.CultureInfo.InvariantCulture) : seat;

    private static string Spoil(string text, double share, Random random, SoundIndex index, List<string> words, Pronunciations sounds)
    {
        if (share == 0)
        {
            return text;
        }

        var heard = new List<string>();
        foreach (string w in text.Split(' '))
        {
            double u = random.NextDouble();
            if (u < 0.03)
            {
                continue;
            }

            if (random.NextDouble() < share)
            {
                var near = index.Near(sounds.Of(w.ToLowerInvariant()), 3, 40).Select(m => words[m.Entry]).Where(x => x != w).Take(8).ToList();
                heard.Add(near.Count > 0 ? near[random.Next(near.Count)] : w);
            }
            else
            {
                heard.Add(w);
            }

            if (u > 0.95)
            {
                heard.Add(words[random.Next(words.Count)]);
            }
        }

        return string.Join(' ', heard);
    }

    /// <summary>F1 on calls with numbers, and how many were said.</summary>
    private static double F1(double share, int sentences)
    {
        var models = CallModels.Default;
        var words = models.Speech.Words.Where(w => w.All(char.IsAsciiLetter) && models.Speech.Count(models.Speech.Id(w)) >= 2).ToList();
        var index = new SoundIndex();
        words.ForEach(w => index.Add(models.Sounds.Of(w)));
        var random = new Random(20260 + (int)(100 * share));
        var said = Enumerable.Range(0, sentences).Select(_ => random.Next(7) == 0 ? new Spoken(Idle[random.Next(Idle.Length)], null) : Say(random)).ToList();
        var lines = said.Select(s => new PhraseLine(Spoil(s.Text, share, random, index, words, models.Sounds), Crews, null, "race", null)).ToList();
        var heard = new CallDecoder().DecodeLines(lines).Where(c => c.Call is RateCall or RateChangeCall or PaceCall or DistanceCall or TimeCall or StrokesToCall or CountCall or MarginCall or TrendCall).ToLookup(c => c.Line);
        int right = 0, given = 0, all = said.Count(s => s.Call is not null);
        for (int i = 0; i < said.Count; i++)
        {
            var here = heard[i].ToList();
            given += here.Count;
            right += said[i].Call is { } call && here.Exists(h => h.Call.GetType() == call.GetType() && Right(h.Call, call)) ? 1 : 0;
        }

        return 2.0 * right / (given + all);
    }

    [Theory]
    [InlineData(0, 0.95)]
    [InlineData(0.15, 0.76)]
    [InlineData(0.30, 0.63)]
    [InlineData(0.45, 0.47)]
    public void CallsWithNumbersSurvive(double share, double least)
    {
        double f = F1(share, 150);
        Assert.True(f >= least, $"F1 {f:0.000} at {share:0.00} of the words spoiled");
    }
}
