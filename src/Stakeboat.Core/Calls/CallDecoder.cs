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
    public double Eagerness { get; init; } = 0.6;

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

    /// <summary>Reads lines without times, each for itself or in runs.</summary>
    public IReadOnlyList<LineCall> DecodeLines(IReadOnlyList<PhraseLine> lines)
    {
        ArgumentNullException.ThrowIfNull(lines);
        var found = new List<LineCall>();
        var heard = LearnedLines.Hear(Learned, RawScores, lines);
        for (int i = 0; i < lines.Count; i++)
        {
            var line = lines[i];
            var tokens = new List<CallToken>();
            Tokenizer.Append(line.Heard, 0, tokens);
            if (tokens.Count == 0)
            {
                continue;
            }

            var crews = line.Crews.Select((c, k) => new CrewName(k, c, null)).ToList();
            var setting = new Setting(crews, [], line.TalkOf, line.Phase, 8, null, []);
            foreach (var r in Read(tokens, setting, heard?[i]))
            {
                found.Add(new LineCall(i, r.LastToken, r.Call, r.Probability, string.Join(' ', Enumerable.Range(r.FirstToken, r.LastToken - r.FirstToken + 1).Select(t => tokens[t].Text)), r.Others));
            }
        }

        return found;
    }

    /// <summary>How the calls near a second were read: words as heard and as restored, what was chosen and what else was offered, with scores.</summary>
    public CallExplanation Explain(CaptionTrack captions, RaceSheet? sheet, double second)
    {
        ArgumentNullException.ThrowIfNull(captions);
        return Explaining.At(this, captions, sheet, second);
    }

    /// <summary>The graph and what is offered over it.</summary>
    internal (WordGraph Graph, List<Match> Matches) Lay(IReadOnlyList<CallToken> tokens, Setting setting)
    {
        var graph = WordGraph.Build(tokens.Count, _mishearing.Value.Propose(tokens, setting.Crews, setting.Names, setting.Own));
        graph.Weigh(Models.Speech, Least, LanguageWeight);
        return (graph, _matcher.All(graph, setting.Crews.Count));
    }

    /// <summary>Everything that the patterns propose in a line, with its evidence: for training the weights.</summary>
    /// <returns>First and last word, call and evidence of each proposal.</returns>
    public IReadOnlyList<(int FirstToken, int LastToken, Call Call, IReadOnlyList<string> Evidence)> Propose(IReadOnlyList<CallToken> tokens, EarContext context)
    {
        ArgumentNullException.ThrowIfNull(tokens);
        ArgumentNullException.ThrowIfNull(context);
        if (tokens.Count == 0)
        {
            return [];
        }

        var crews = context.Crews.Select((c, k) => new CrewName(k, c, null)).ToList();
        var setting = new Setting(crews, context.Names, context.TalkOf, context.Phase, context.Seats, context.Distance, []);
        var graph = WordGraph.Build(tokens.Count, _mishearing.Value.Propose(tokens, setting.Crews, setting.Names, setting.Own));
        graph.Weigh(Models.Speech, Least, LanguageWeight);
        return [.. Cover.Proposals(graph, _matcher.All(graph, crews.Count), tokens, setting).Select(p => (p.FirstToken, p.LastToken, p.Call, (IReadOnlyList<string>)p.Evidence))];
    }

    /// <summary>Everything that the patterns propose in a track, with its second and its evidence: for training the weights.</summary>
    /// <returns>Second, call and evidence of each proposal.</returns>
    public IReadOnlyList<(double Seconds, Call Call, IReadOnlyList<string> Evidence)> ProposeTrack(CaptionTrack captions, RaceSheet? sheet)
    {
        ArgumentNullException.ThrowIfNull(captions);
        var found = new List<(double, Call, IReadOnlyList<string>)>();
        var spoken = TrackReader.Words(captions, new HashSet<int>());
        var setting = TrackReader.SettingOf(sheet, CallContext.None);
        foreach (var (at, part) in TrackReader.Parts(spoken.Tokens))
        {
            var graph = WordGraph.Build(part.Count, _mishearing.Value.Propose(part, setting.Crews, setting.Names, setting.Own));
            graph.Weigh(Models.Speech, Least, LanguageWeight);
            var matches = _matcher.All(graph, setting.Crews.Count);
            foreach (var p in Cover.Proposals(graph, matches, part, setting))
            {
                found.Add((spoken.To[at + p.LastToken], p.Call, p.Evidence));
            }

            foreach (var r in Cover.Best(graph, matches, part, setting, Models.Weights, Eagerness, PathWeight))
            {
                setting = setting with { TalkOf = SpokenOf.Of(r.Call) ?? setting.TalkOf, Phase = TrackReader.PhaseAfter(setting.Phase, r.Call) };
            }
        }

        return found;
    }

    /// <summary>What the learned ear proposes in a whole track; null where there is no such ear.</summary>
    internal IReadOnlyList<LearnedCandidate>? Hear(IReadOnlyList<CallToken> tokens, Setting setting, string? us) =>
        Learned is null || RawScores ? null : Learned.Read(tokens, new EarContext(
            us, [.. setting.Crews.Select(c => c.Name)], null, null, setting.Names, setting.Seats, setting.Distance));

    /// <summary>Reads a run of words: graph, patterns, the best cover, crews.</summary>
    /// <param name="heard">What the learned ear proposes in these words; null to hear with the written one alone.</param>
    internal List<Reading> Read(IReadOnlyList<CallToken> tokens, Setting setting, IReadOnlyList<LearnedCandidate>? heard)
    {
        var spans = _mishearing.Value.Propose(tokens, setting.Crews, setting.Names, setting.Own);
        var graph = WordGraph.Build(tokens.Count, spans);
        graph.Weigh(Models.Speech, Least, LanguageWeight);
        var matches = _matcher.All(graph, setting.Crews.Count);
        var written = Cover.Best(graph, matches, tokens, setting, Models.Weights, Eagerness, PathWeight, RawScores);
        if (heard is null)
        {
            return written;
        }

        Overheard?.Invoke(tokens, written, heard);
        return TwoEars.Fuse(written, heard);
    }
}
