using System.Globalization;
using Stakeboat.Core.Boats;
using Stakeboat.Core.Calls;
using Stakeboat.Core.Crews;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;
using Stakeboat.Exchange.Calls;
using Stakeboat.Exchange.Corrections;
using Stakeboat.Storage;
using Stakeboat.Storage.Rows;

namespace Stakeboat.Web.Analysis;

/// <summary>What the boathouse knows of an outing: its crew with people, hull and words, its course, and what earlier corrections taught.</summary>
public sealed record BoathouseKnowledge
{
    public static BoathouseKnowledge None { get; } = new();

    public CrewRow? Crew { get; init; }

    /// <summary>Null: as its class.</summary>
    public HullRow? Hull { get; init; }

    public CourseRow? Course { get; init; }

    /// <summary>Seat 0 is the coxswain.</summary>
    public IReadOnlyDictionary<int, PersonRow> Seats { get; init; } = new Dictionary<int, PersonRow>();

    /// <summary>From corrections in which a person wrote what was truly said, in all races of the crew.</summary>
    public IReadOnlyList<LearnedWord> Learned { get; init; } = [];

    /// <summary>The knowledge for an outing. Its crew is the one that the person chose, else the one that the race sheet names.</summary>
    /// <param name="named">Our crew by the race sheet; null where there is none.</param>
    public static async Task<BoathouseKnowledge> OfAsync(Store store, OutingRow outing, string? named, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(store);
        ArgumentNullException.ThrowIfNull(outing);
        var all = await store.BoathouseAsync(cancel).ConfigureAwait(false);
        var crew = all.Crews.FirstOrDefault(c => c.Id == outing.CrewId)
            ?? (named is null ? null : all.Crews.FirstOrDefault(c => !c.Archived && string.Equals(c.Name, named, StringComparison.OrdinalIgnoreCase)));
        return new BoathouseKnowledge
        {
            Crew = crew,
            Hull = all.Hulls.FirstOrDefault(h => h.Id == crew?.HullId),
            Course = all.Courses.FirstOrDefault(c => c.Id == outing.CourseId),
            Seats = all.Seats.Where(s => s.CrewId == crew?.Id).Select(s => (s.Seat, Person: all.People.FirstOrDefault(p => p.Id == s.PersonId)))
                .Where(s => s.Person is not null).ToDictionary(s => s.Seat, s => s.Person!),
            Learned = Explained(await LearnedAsync(store, outing.Id, crew?.Id, cancel).ConfigureAwait(false), crew),
        };
    }

    /// <summary>Words that the corrections of a crew's races taught.</summary>
    public static async Task<IReadOnlyList<LearnedWord>> LearnedAsync(Store store, string? outingId, string? crewId, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(store);
        var bodies = await store.CallCorrectionsAsync(outingId, crewId, cancel).ConfigureAwait(false);
        return CrewLexicon.Learn(bodies.Select(b => CorrectionJson.Read(b).Call).OfType<CallCorrectionPart>().Where(c => c.Said is not null).Select(ToCore));
    }

    /// <summary>What was taught to be one of the crew's own words stands for what that word means: "and bill" is "anvil", and "anvil" is "ten for legs".</summary>
    private static IReadOnlyList<LearnedWord> Explained(IReadOnlyList<LearnedWord> learned, CrewRow? crew)
    {
        var own = WordsOf(crew?.Words ?? "").Where(w => w.Meaning.Length > 0).ToList();
        return [.. learned.Select(l => own.FirstOrDefault(w => string.Equals(w.Word, l.Said, StringComparison.OrdinalIgnoreCase)) is { } word
            ? l with { Said = word.Meaning.ToLowerInvariant() } : l)];
    }

    public static CallCorrection ToCore(CallCorrectionPart c)
    {
        ArgumentNullException.ThrowIfNull(c);
        return new CallCorrection(
            Instant<RecordingClock>.FromSeconds(c.At), c.Heard, c.Was is null ? null : CallParts.ToCall(c.Was), c.Is is null ? null : CallParts.ToCall(c.Is),
            c.Moved is { } m ? Instant<RecordingClock>.FromSeconds(m) : null, c.Said);
    }

    /// <summary>The race sheet with what the boathouse adds. What the sheet itself says of the race stands above it.</summary>
    /// <returns>Null where neither knows anything.</returns>
    public RaceSheet? Apply(RaceSheet? sheet)
    {
        if (Crew is null && Course is null)
        {
            return sheet;
        }

        var boat = (Crew is null ? null : BoatClass.Find(Crew.Boat)) ?? sheet?.Us.Boat ?? BoatClass.Eight;
        sheet ??= new RaceSheet(
            Core.Crews.Crew.Named(Crew?.Name ?? "our boat", boat), boat.Geometry, null, new Dictionary<int, string>(), [], Distance.FromMetres(13.5), null);
        if (Crew is { } crew)
        {
            var us = sheet.Us with
            {
                BySeat = sheet.Us.BySeat.Count > 0 ? sheet.Us.BySeat : Seats.Where(s => s.Key > 0).ToDictionary(s => s.Key, s => PersonOf(s.Value)),
                Names = [.. sheet.Us.Names.Concat(Seats.Values.Select(p => p.Name.Split(' ')[0])).Distinct(StringComparer.OrdinalIgnoreCase)],
                Words = [.. sheet.Us.Words.Concat(WordsOf(crew.Words)).DistinctBy(w => w.Word, StringComparer.OrdinalIgnoreCase)],
                Cox = sheet.Us.Cox ?? (Seats.TryGetValue(0, out var cox) ? PersonOf(cox) : null),
            };
            // A hull that the sheet measured stands; the class's own measures give way to the crew's tape.
            sheet = sheet with { Us = us, Hull = Hull is { } h && sheet.Hull == sheet.Us.Boat.Geometry && h.Seats == sheet.Hull.Seats ? GeometryOf(h) : sheet.Hull };
        }

        if (Course is { } course)
        {
            sheet = sheet with
            {
                Distance = sheet.Distance ?? Distance.FromMetres(course.Length),
                LaneWidth = sheet.LaneWidth == Distance.FromMetres(13.5) ? Distance.FromMetres(course.LaneWidth) : sheet.LaneWidth,
                Us = sheet.Us with { Words = [.. sheet.Us.Words.Concat(MarksOf(course.Marks)).DistinctBy(w => w.Word, StringComparer.OrdinalIgnoreCase)] },
            };
        }

        return sheet;
    }

    private static Person PersonOf(PersonRow p) => new(p.Name, p.Mass is { } kg ? Mass.FromKilograms(kg) : null);

    private static HullGeometry GeometryOf(HullRow h) => new(
        Distance.FromMetres(h.Length), Distance.FromMetres(h.BowSeat), Distance.FromMetres(h.SeatSpacing), h.Seats, h.Cox is { } c ? Distance.FromMetres(c) : null);

    /// <summary>"anvil = ten for legs", one a line; a word alone is known and stands for nothing else.</summary>
    public static IEnumerable<CrewWord> WordsOf(string lines) =>
        (lines ?? "").Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries).Select(l => l.Split('=', 2, StringSplitOptions.TrimEntries))
            .Where(p => p[0].Length > 0).Select(p => new CrewWord(p[0], p.Length > 1 ? p[1] : ""));

    /// <summary>Names of a course's marks ("750 boathouse" a line): words that are heard and are no calls of their own.</summary>
    private static IEnumerable<CrewWord> MarksOf(string lines) =>
        (lines ?? "").Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries).Select(l => l.Split(' ', 2, StringSplitOptions.TrimEntries))
            .Where(p => p.Length == 2 && double.TryParse(p[0], NumberStyles.Float, CultureInfo.InvariantCulture, out _)).Select(p => new CrewWord(p[1], ""));
}
