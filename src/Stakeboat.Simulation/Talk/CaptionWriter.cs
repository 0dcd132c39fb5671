using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;

namespace Stakeboat.Simulation.Talk;

/// <summary>Spoils what was said the way automatic captions do, and gives it the times that a caption file keeps.</summary>
internal static class CaptionWriter
{
    private static readonly Dictionary<string, string[]> Alike = new(StringComparer.Ordinal)
    {
        ["bow"] = ["bough", "both", "bo"], ["ball"] = ["bowl", "bull"], ["seat"] = ["see", "seed", "C"], ["seats"] = ["sees", "seeds"],
        ["stroke"] = ["struck", "strike"], ["two"] = ["to", "too"], ["four"] = ["for", "fore"], ["one"] = ["won"], ["eight"] = ["ate", "late"],
        ["ten"] = ["then", "tin"], ["six"] = ["sick", "sex"], ["five"] = ["fine"], ["three"] = ["free", "tree"], ["settle"] = ["Seattle", "subtle", "saddle"],
        ["sprint"] = ["spring", "print"], ["legs"] = ["lakes", "eggs"], ["length"] = ["link", "lent"], ["level"] = ["revel"], ["canvas"] = ["campus", "Kansas"],
        ["catches"] = ["cashes", "matches"], ["rudder"] = ["rather", "brother"], ["port"] = ["part", "court"], ["starboard"] = ["star board", "start board"],
        ["weigh"] = ["way"], ["enough"] = ["a nuff", "off"], ["halfway"] = ["half way"], ["metres"] = ["meters"], ["power"] = ["our", "power"],
        ["breathe"] = ["breed"], ["water"] = ["what a"], ["moving"] = ["movin", "moving"], ["rate"] = ["right", "wait"], ["up"] = ["of"], ["they're"] = ["there"],
        ["hands"] = ["hand", "hens"], ["half"] = ["have", "hof"], ["walking"] = ["working"], ["gone"] = ["gun"], ["slide"] = ["sly", "slight"],
        ["ready"] = ["Reddy"], ["pair"] = ["pear", "bear"], ["touch"] = ["such"], ["thirty"] = ["thirsty", "30"], ["crew"] = ["cruise"],
    };

    public static IReadOnlyList<CaptionTrack> Write(SpokenRace talk, CaptionHabits habits, Dice dice)
    {
        var heard = talk.Lines.Select(l => Heard(l, habits, dice)).Where(w => w.Count > 0).ToArray();
        return
        [
            new CaptionTrack("words.json", CaptionTiming.Words, [.. heard.Select(w => new CaptionCue(w[0].Start, w[^1].End, Text(w), w))]),
            new CaptionTrack("captions.vtt", CaptionTiming.Cues, Cues(heard)),
            new CaptionTrack("captions.txt", CaptionTiming.Blocks, Blocks(heard, habits.BlockSeconds)),
        ];
    }

    private static List<CaptionWord> Heard(SpokenLine line, CaptionHabits habits, Dice dice)
    {
        var words = new List<CaptionWord>();
        for (int i = 0; i < line.Words.Count; i++)
        {
            var w = line.Words[i];
            if (dice.Chance(habits.DropShare))
            {
                continue;
            }

            string text = w.Text;
            double probability = dice.Between(0.72, 0.99);
            if (Alike.TryGetValue(text, out var others) && dice.Chance(habits.MishearShare))
            {
                text = dice.Pick(others);
                probability = dice.Between(0.3, 0.75);
            }
            else if (char.IsUpper(text[0]) && text.Length > 4 && dice.Chance(habits.MishearShare))
            {
                text = Name(text, dice);
                probability = dice.Between(0.25, 0.6);
            }

            double end = w.End;
            if (i + 1 < line.Words.Count && dice.Chance(habits.JoinShare))
            {
                text += line.Words[i + 1].Text.ToLowerInvariant();
                end = line.Words[++i].End;
                probability = dice.Between(0.3, 0.6);
            }

            double shift = habits.TimeSd * dice.Normal();
            double start = Math.Max(words.Count > 0 ? words[^1].Start.Seconds : 0, w.Start + shift);
            words.Add(new CaptionWord(text, At(start), At(Math.Max(start + 0.05, end + shift)), Math.Round(probability, 3)));
        }

        if (words.Count > 0)
        {
            string first = words[0].Text, last;
            words[0] = words[0] with { Text = char.ToUpperInvariant(first[0]) + first[1..] };
            last = words[^1].Text;
            words[^1] = words[^1] with { Text = last + (dice.Chance(0.7) ? "." : "") };
        }

        return words;
    }

    /// <summary>A name that the recogniser does not know falls into two words or loses a sound.</summary>
    private static string Name(string name, Dice dice)
    {
        string plain = name.Replace("'s", "", StringComparison.Ordinal);
        string tail = name[plain.Length..];
        int cut = Math.Clamp(plain.Length / 2 + dice.Index(2), 2, plain.Length - 2);
        return dice.Index(3) switch
        {
            0 => plain[..cut] + " " + plain[cut..] + tail,
            1 => plain[..cut] + plain[(cut + 1)..] + tail,
            _ => plain.Replace('o', 'a').Replace("th", "t", StringComparison.Ordinal).Replace("sh", "ch", StringComparison.Ordinal) + tail,
        };
    }

    /// <summary>Cues of at most 5.5 s and 12 words that ignore where one call ends and the next begins.</summary>
    private static List<CaptionCue> Cues(List<CaptionWord>[] lines)
    {
        var cues = new List<CaptionCue>();
        var open = new List<CaptionWord>();
        void Close()
        {
            if (open.Count > 0)
            {
                cues.Add(new CaptionCue(open[0].Start, open[^1].End, Text(open), []));
                open = [];
            }
        }

        foreach (var w in lines.SelectMany(l => l))
        {
            if (open.Count > 0 && ((w.Start - open[^1].End).Seconds > 0.8 || (w.End - open[0].Start).Seconds > 5.5 || open.Count >= 12))
            {
                Close();
            }

            open.Add(w);
        }

        Close();
        return cues;
    }

    private static List<CaptionCue> Blocks(List<CaptionWord>[] lines, double seconds)
    {
        var blocks = new List<(double Start, List<CaptionWord> Words)>();
        foreach (var w in lines.SelectMany(l => l))
        {
            if (blocks.Count == 0 || w.Start.Seconds - blocks[^1].Start > seconds)
            {
                blocks.Add((Math.Floor(w.Start.Seconds), []));
            }

            blocks[^1].Words.Add(w);
        }

        return [.. blocks.Select((b, i) => new CaptionCue(At(b.Start), At(i + 1 < blocks.Count ? blocks[i + 1].Start : b.Words[^1].End.Seconds), Text(b.Words), []))];
    }

    private static string Text(List<CaptionWord> words) => string.Join(' ', words.Select(w => w.Text));

    private static Instant<RecordingClock> At(double t) => Instant<RecordingClock>.FromSeconds(Math.Round(t, 3));
}
