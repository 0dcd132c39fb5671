using Stakeboat.Core.Calls;
using Stakeboat.Core.Debrief;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Plans;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;
using Stakeboat.Exchange;
using Stakeboat.Exchange.Calls;
using Stakeboat.Exchange.Corrections;
using Stakeboat.Exchange.Debriefs;
using Stakeboat.Readers;
using Stakeboat.Readers.Sound;
using Stakeboat.Storage.Rows;

namespace Stakeboat.Web.Analysis;

/// <summary>From the stored files and corrections of an outing to its debrief document.</summary>
public sealed class Debriefer(Storage.Store store)
{
    private const int Remembered = 3;

    private readonly Lock _gate = new();
    private readonly List<(string Files, Reading<Outing> Reading)> _read = [];
    private readonly List<(string Hash, SoundOnsets? Onsets)> _heard = [];
    private readonly List<(SensorInput Input, SensorFindings Findings)> _sensors = [];

    /// <summary>Version of the engine, kept with every analysis.</summary>
    public static string Engine { get; } = typeof(Debriefer).Assembly.GetName().Version!.ToString(3);

    /// <summary>Reads the files, applies the corrections that stand and makes the debrief.</summary>
    /// <param name="report">Takes progress (0 to 1) and a sentence; throws to end the work.</param>
    /// <exception cref="ExchangeException">Nothing in the files can be used.</exception>
    public DebriefDocument Make(
        string name, IReadOnlyList<FileRow> files, IReadOnlyList<CorrectionRow> corrections, BoathouseKnowledge boathouse, Action<double, string> report,
        CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(boathouse);
        ArgumentNullException.ThrowIfNull(report);
        report(0.05, "Reading the files.");
        var reading = Read(name, files);
        cancel.ThrowIfCancellationRequested();
        if (reading.Value is not { } outing)
        {
            string why = string.Join(' ', reading.Issues.Select(i => i.ToString()));
            throw new ExchangeException(why.Length > 0 ? why : "Nothing in these files is known here. Bring captions, a track, a motion log, a recording or a result sheet.");
        }

        var issues = reading.Issues.Select(i => new IssuePart(i.Severity.ToString().ToLowerInvariant(), i.File, i.Place, i.What, i.Done, i.Count)).ToList();
        var standing = corrections.Where(c => !c.Undone).Select(c => CorrectionJson.Read(c.Body)).ToList();
        outing = outing with { Name = name, Sheet = SheetCorrections.Apply(boathouse.Apply(outing.Sheet), standing) };
        (outing, int captions) = Words.CaptionCorrections.Apply(outing, standing);
        var input = new DebriefInput(outing)
        {
            CaptionsIndex = captions,
            Plan = PlanOf(files, issues),
            Corrections = [.. standing.Select(c => c.Call).OfType<CallCorrectionPart>().Select(BoathouseKnowledge.ToCore)],
            Lexicon = boathouse.Learned,
            Sensors = Analysed,
            Onsets = Listen(outing, files, report),
            GoAt = standing.LastOrDefault(c => c.Start is not null)?.Start!.GoAt,
        };
        void Stage(DebriefStage stage) => report(
            stage switch { DebriefStage.Sensors => 0.25, DebriefStage.Calls => 0.5, DebriefStage.Clocks => 0.65, DebriefStage.Margins => 0.8, _ => 0.92 },
            stage switch
            {
                DebriefStage.Sensors => "Finding strokes and speed.", DebriefStage.Calls => "Listening for calls.", DebriefStage.Clocks => "Joining the clocks.",
                DebriefStage.Margins => "Weighing what was said of the rivals.", _ => "Drawing findings.",
            });
        var made = RaceDebrief.Make(input, Stage, cancel);
        if (ClockShifts.Apply(input, made, standing) is { } shifted)
        {
            made = RaceDebrief.Make(shifted, Stage, cancel);
        }

        return DebriefWriter.Write(made, issues, Engine);
    }

    /// <summary>Our crew as the files' race sheet names it; null where there is none.</summary>
    public string? CrewNamedIn(string name, IReadOnlyList<FileRow> files) => Read(name, files).Value?.Sheet?.Us.Name;

    private Reading<Outing> Read(string name, IReadOnlyList<FileRow> files)
    {
        string key = string.Join('|', files.Select(f => f.Name + ":" + f.Hash));
        lock (_gate)
        {
            if (_read.FirstOrDefault(r => r.Files == key).Reading is { } known)
            {
                return known;
            }
        }

        var reading = OutingFolder.Read(name, [.. files.Select(f => new OutingFile(f.Name, () => store.Vault.Open(f.Hash)))]);
        lock (_gate)
        {
            _read.Insert(0, (key, reading));
            if (_read.Count > Remembered)
            {
                _read.RemoveAt(Remembered);
            }
        }

        return reading;
    }

    /// <summary>The rhythm of the recording; null where there is none that can be decoded here.</summary>
    private SoundOnsets? Listen(Outing outing, IReadOnlyList<FileRow> files, Action<double, string> report)
    {
        if (outing.Sound is not { } sound || files.FirstOrDefault(f => Path.GetFileName(f.Name) == sound.FileName) is not { } file)
        {
            return null;
        }

        lock (_gate)
        {
            if (_heard.FindIndex(h => h.Hash == file.Hash) is var known and >= 0)
            {
                return _heard[known].Onsets;
            }
        }

        report(0.15, "Listening to the rhythm of the boat.");
        using var stream = store.Vault.Open(file.Hash);
        var onsets = OnsetReader.Read(stream, sound.FileName).Value;
        lock (_gate)
        {
            _heard.Insert(0, (file.Hash, onsets));
            if (_heard.Count > Remembered)
            {
                _heard.RemoveAt(Remembered);
            }
        }

        return onsets;
    }

    /// <summary>The sensors' findings, from memory where nothing that they rest on has changed: a correction is answered the sooner.</summary>
    private SensorFindings Analysed(SensorInput input)
    {
        lock (_gate)
        {
            if (_sensors.FirstOrDefault(s => s.Input == input).Findings is { } known)
            {
                return known;
            }
        }

        var made = SensorAnalysis.Analyse(input);
        lock (_gate)
        {
            _sensors.Insert(0, (input, made));
            if (_sensors.Count > Remembered)
            {
                _sensors.RemoveAt(Remembered);
            }
        }

        return made;
    }

    /// <summary>A plan lies among the files as plan.txt.</summary>
    private CompiledPlan? PlanOf(IReadOnlyList<FileRow> files, List<IssuePart> issues)
    {
        if (files.FirstOrDefault(f => string.Equals(f.Name, "plan.txt", StringComparison.OrdinalIgnoreCase)) is not { Size: < 200_000 } file)
        {
            return null;
        }

        using var text = new StreamReader(store.Vault.Open(file.Hash));
        var result = PlanCompiler.Compile(text.ReadToEnd());
        issues.AddRange(result.Issues.Select(i => new IssuePart(
            i.Severity == PlanSeverity.Error ? "error" : "note", file.Name, string.Create(System.Globalization.CultureInfo.InvariantCulture, $"line {i.Line}"), i.Sentence, "", 1)));
        return result.Plan;
    }
}
