using Stakeboat.Core.Calls.Context;
using Stakeboat.Core.Calls.Grammar;
using Stakeboat.Core.Calls.Lattice;
using Stakeboat.Core.Calls.Sounds;

namespace Stakeboat.Core.Calls;

/// <summary>What the ear knows before it hears anything: how words sound, how coxswains speak, how captions err, how calls are built.</summary>
public sealed class CallModels
{
    private static readonly Lazy<CallModels> Given = new(() => new CallModels(), LazyThreadSafetyMode.ExecutionAndPublication);

    /// <param name="speech">Counts to use in place of those that come with the program; null for those. For leave-out trials.</param>
    /// <param name="weights">Weights of evidence to use in place of those that come with the program; null for those.</param>
    /// <param name="weighed">False: the hand-set scores alone decide.</param>
    /// <param name="grammar">Grammar to use in place of the one that comes with the program; null for that.</param>
    /// <param name="second">Trees of the second look to use in place of those that come with the program; null for those.</param>
    /// <param name="once">Leave out the second look.</param>
    public CallModels(TextReader? speech = null, TextReader? grammar = null, TextReader? weights = null, bool weighed = true, TextReader? second = null, bool once = false)
    {
        using (var table = Pronunciations.Resource("sounds.txt"))
        {
            Sounds = new Pronunciations(table);
        }

        using (var own = speech is null ? Pronunciations.Resource("speech.txt") : null)
        {
            Speech = SpeechModel.Load(speech ?? own!);
        }

        using (var own = grammar is null ? Pronunciations.Resource("grammar.txt") : null)
        {
            Text = GrammarText.Read(grammar ?? own!);
        }

        if (weighed)
        {
            using var own = weights is null ? Pronunciations.Resource("weights.txt") : null;
            Weights = EvidenceWeights.Read(weights ?? own!);
        }

        if (weighed && !once)
        {
            using var own = second is null ? Pronunciations.Resource("second.txt") : null;
            Second = Trees.Read(second ?? own!);
        }

        Automaton = new Automaton(Text.Rules);
        var lexicon = Text.Words.Where(w => w.Length > 1 && char.IsLetter(w[0])).Concat(Numbers).Distinct(StringComparer.Ordinal).ToList();
        Lexicon = [.. lexicon, .. Speech.PairsOf(lexicon, 4)];
    }

    /// <summary>The models that come with the program.</summary>
    public static CallModels Default => Given.Value;

    public Pronunciations Sounds { get; }

    public SpeechModel Speech { get; }

    /// <summary>Weights of the first look.</summary>
    internal EvidenceWeights? Weights { get; }

    /// <summary>Trees of the second look.</summary>
    internal Trees? Second { get; }

    internal GrammarText Text { get; }

    internal Automaton Automaton { get; }

    /// <summary>Words and pairs of words that are listened for.</summary>
    public IReadOnlyList<string> Lexicon { get; }

    private static readonly string[] Numbers =
    [
        "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen",
        "seventeen", "eighteen", "nineteen", "twenty", "thirty", "forty", "fifty", "hundred", "thousand", "half", "quarter", "quarters", "third", "thirds", "point",
    ];

    internal static readonly HashSet<string> Fillers = new(StringComparer.Ordinal)
    {
        "um", "uh", "er", "like", "okay", "ok", "right", "just", "now", "please", "ladies", "gentlemen", "guys", "boys", "girls", "lads", "folks", "fellas", "only", "still", "really",
        "actually", "literally", "maybe", "about", "nearly", "almost", "exactly", "already", "so", "well", "yeah", "yes", "oh", "and", "then", "the", "a", "wee", "very", "bloody", "damn",
        "there", "that's", "is", "sort", "kind", "absolutely", "pretty", "quite", "barely", "roughly", "ja", "aye", "ooh", "manne", "whole", "good", "nice", "little", "here", "it's", "again", "ragazzi",
    };
}
