using Stakeboat.Core.Calls.Context;
using Stakeboat.Core.Calls.Grammar;
using Stakeboat.Core.Calls.Lattice;
using Stakeboat.Core.Calls.Learned;
using Stakeboat.Core.Calls.Words;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Core.Calls;

/// <summary>The ear: from mis-heard captions to what the coxswain said.</summary>
public sealed class CallDecoder
{
    private readonly Lazy<Mishearing> _mishearing;
    private readonly Matcher _matcher;

    /// <param name="models">Null for those that come with the program.</param>
    public CallDecoder(CallModels? models = null)
    {
        Models = models ?? CallModels.Default;
        _mishearing = new Lazy<Mishearing>(() => new Mishearing(Models.Speech, Models.Sounds, Models.Lexicon) { Slope = Slope, Offset = Offset });
        _matcher = new Matcher(Models.Automaton, CallModels.Fillers);
    }

    public CallModels Models { get; }

    /// <summary>How much a unit of sound distance costs in log probability.</summary>
    public double Slope { get; init; } = 4;

    /// <summary>log P of any mis-hearing that no table knows.</summary>
    public double Offset { get; init; } = -3.2;

    /// <summary>Least share of a point at which a reading is kept.</summary>
    public double Least { get; init; } = 0.02;

    /// <summary>Added to each proposal's log odds before the cover is chosen: several proposals share the odds of one call.</summary>
    public double Eagerness { get; init; } = 0.7;

    /// <summary>The learned ear that is weighed together with the written one; null to hear with the written one alone.</summary>
    public ILearnedEar? Learned { get; init; } = LearnedEar.Default;

    /// <summary>Told what each ear proposes for each run of words before the two are weighed: for fitting the weights.</summary>
    internal Action<IReadOnlyList<CallToken>, IReadOnlyList<Reading>, IReadOnlyList<LearnedCandidate>>? Overheard { get; set; }

    /// <summary>Give scores (log odds) in place of calibrated confidence: for fitting the calibration.</summary>
    public bool RawScores { get; init; }

    /// <summary>How much the likelihood of plain words weighs in the choice of the cover.</summary>
    public double PathWeight { get; init; } = 0.25;

    /// <summary>How much the word-pair model weighs against the sounds.</summary>
    public double LanguageWeight { get; init; } = 0.8;

    /// <summary>Reads a caption track.</summary>
    /// <param name="sheet">What is known of the race; null for an unknown outing.</param>
    /// <param name="context">Measured rates, corrections and the crew's own lexicon; null for none.</param>
    public CallReadings Decode(CaptionTrack captions, RaceSheet? sheet, CallContext? context = null)
    {
        ArgumentNullException.ThrowIfNull(captions);
        return TrackReader.Read(this, captions, sheet, context ?? CallContext.None);
    }

    /// <summary>Reads lines without times, each for itself or in runs: what was called in a run goes on in its next line.</summary>
    public IReadOnlyList<LineCall> DecodeLines(IReadOnlyList<PhraseLine> lines)
    {
        ArgumentNullException.ThrowIfNull(lines);
        var found = new List<LineCall>();
        var (recent, run) = ((IReadOnlyList<Call>)[], (string?)null);
        var heard = LearnedLines.Hear(Learned, RawScores, lines);
        for (int i = 0; i < lines.Count; i++)
        {
            var line = lines[i];
            (recent, run) = (line.Run is not null && line.Run == run ? recent : [], line.Run);
            var tokens = new List<CallToken>();
            Tokenizer.Append(line.Heard, 0, tokens);
            if (tokens.Count == 0)
            {
                continue;
            }

            var setting = SettingOf(line) with { Recent = recent };
            var read = Read(tokens, setting, heard?[i]);
            recent = setting.After(read).Recent;
            foreach (var r in read)
            {
                found.Add(new LineCall(i, r.LastToken, r.Call, r.Probability, string.Join(' ', Enumerable.Range(r.FirstToken, r.LastToken - r.FirstToken + 1).Select(t => tokens[t].Text)), r.Others));
            }
        }

        return found;
    }

    private static Setting SettingOf(PhraseLine line) => new([.. line.Crews.Select((c, k) => new CrewName(k, c, null))], [], line.TalkOf, line.Phase, 8, null, []);

    /// <summary>How the calls near a second were read: words as heard and as restored, what was chosen and what else was offered, with scores.</summary>
    public CallExplanation Explain(CaptionTrack captions, RaceSheet? sheet, double second)
    {
        ArgumentNullException.ThrowIfNull(captions);
        return Explaining.At(this, captions, sheet, second);
    }

    /// <summary>Everything that the patterns propose in lines, with its evidence: for training the weights.</summary>
    /// <param name="second">Numbers of the second look, for the proposals that stand after the first; else names of evidence of the first look, for all.</param>
    /// <returns>Line, first and last word, call, score at the first look and evidence, by name or as numbers, of each proposal.</returns>
    public IEnumerable<(int Line, int FirstToken, int LastToken, Call Call, double First, IReadOnlyList<string> Evidence, IReadOnlyList<float> Numbers)> Propose(IReadOnlyList<PhraseLine> lines, bool second)
    {
        ArgumentNullException.ThrowIfNull(lines);
        var (recent, run) = ((IReadOnlyList<Call>)[], (string?)null);
        for (int i = 0; i < lines.Count; i++)
        {
            (recent, run) = (lines[i].Run is not null && lines[i].Run == run ? recent : [], lines[i].Run);
            var tokens = new List<CallToken>();
            Tokenizer.Append(lines[i].Heard, 0, tokens);
            if (tokens.Count == 0)
            {
                continue;
            }

            var setting = SettingOf(lines[i]) with { Recent = recent };
            var hearing = Hear(tokens, setting);
            var found = new List<(Offer Offer, IReadOnlyList<string> Names, IReadOnlyList<float> Numbers)>();
            Names(hearing, second, found);
            recent = setting.After(hearing.Best()).Recent;
            foreach (var (o, names, numbers) in found)
            {
                yield return (i, o.Match.FirstToken, o.Match.LastToken, o.Draft.Call, o.First, names, numbers);
            }
        }
    }

    /// <summary>Everything that the patterns propose in a track, with its second and its evidence: for training the weights.</summary>
    /// <param name="second">As in <see cref="Propose"/>.</param>
    /// <returns>Second, first and last word, call, score at the first look and evidence, by name or as numbers, of each proposal.</returns>
    public IReadOnlyList<(double Seconds, int FirstToken, int LastToken, Call Call, double First, IReadOnlyList<string> Evidence, IReadOnlyList<float> Numbers)> ProposeTrack(CaptionTrack captions, RaceSheet? sheet, bool second)
    {
        ArgumentNullException.ThrowIfNull(captions);
        var all = new List<(double, int, int, Call, double, IReadOnlyList<string>, IReadOnlyList<float>)>();
        var spoken = TrackReader.Words(captions, new HashSet<int>());
        var setting = TrackReader.SettingOf(sheet, CallContext.None);
        foreach (var (at, part) in TrackReader.Parts(spoken.Tokens))
        {
            var hearing = Hear(part, setting);
            var found = new List<(Offer Offer, IReadOnlyList<string> Names, IReadOnlyList<float> Numbers)>();
            Names(hearing, second, found);
            foreach (var (o, names, numbers) in found)
            {
                all.Add((spoken.To[at + o.Match.LastToken], at + o.Match.FirstToken, at + o.Match.LastToken, o.Draft.Call, o.First, names, numbers));
            }

            setting = setting.After(hearing.Best());
        }

        return all;
    }

    private static void Names(Hearing hearing, bool second, List<(Offer Offer, IReadOnlyList<string> Names, IReadOnlyList<float> Numbers)> found)
    {
        if (second)
        {
            hearing.Standing((o, x) => found.Add((o, [], x)));
        }
        else
        {
            hearing.Offered((o, n) => found.Add((o, n, [])));
        }
    }

    /// <summary>Lays the graph and the patterns over a run of words.</summary>
    internal Hearing Hear(IReadOnlyList<CallToken> tokens, Setting setting)
    {
        var (graph, matches) = Lay(tokens, setting);
        return new Hearing(graph, matches, tokens, setting, this);
    }

    /// <summary>The graph and what is offered over it.</summary>
    internal (WordGraph Graph, List<Match> Matches) Lay(IReadOnlyList<CallToken> tokens, Setting setting)
    {
        var graph = WordGraph.Build(tokens.Count, _mishearing.Value.Propose(tokens, setting.Crews, setting.Names, setting.Own));
        graph.Weigh(Models.Speech, Least, LanguageWeight);
        return (graph, _matcher.All(graph, setting.Crews.Count));
    }

    /// <summary>What the learned ear proposes in a whole track; null where there is no such ear.</summary>
    internal IReadOnlyList<LearnedCandidate>? Hear(IReadOnlyList<CallToken> tokens, Setting setting, string? us) =>
        Learned is null || RawScores ? null : Learned.Read(tokens, new EarContext(
            us, [.. setting.Crews.Select(c => c.Name)], null, null, setting.Names, setting.Seats, setting.Distance));

    /// <summary>Reads a run of words: graph, patterns, the best cover, crews.</summary>
    /// <param name="heard">What the learned ear proposes in these words; null to hear with the written one alone.</param>
    internal List<Reading> Read(IReadOnlyList<CallToken> tokens, Setting setting, IReadOnlyList<LearnedCandidate>? heard)
    {
        if (tokens.Count == 0)
        {
            return [];
        }

        var written = Hear(tokens, setting).Best();
        if (heard is null)
        {
            return written;
        }

        Overheard?.Invoke(tokens, written, heard);
        return TwoEars.Fuse(written, heard);
    }
}
