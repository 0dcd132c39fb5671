using System.CommandLine;

namespace Stakeboat.Cli;

/// <summary>Every verb, in the order that help shows them: one file each, named after the verb.</summary>
internal static class Verbs
{
    public static IEnumerable<Command> All()
    {
        // Reading
        yield return InspectVerb.Create();
        yield return ConvertVerb.Create();
        yield return WordsVerb.Create();
        // Strokes
        yield return StrokesVerb.Create();
        yield return HullVerb.Create();
        // Calls
        yield return CallsVerb.Create();
        // Margins
        yield return MarginsVerb.Create();
        yield return MovesVerb.Create();
        // Plan
        yield return PredictVerb.Create();
        yield return FitVerb.Create();
        yield return PaceVerb.Create();
        yield return PlanVerb.Create();
        // Debrief
        yield return DebriefVerb.Create();
        // Simulation
        yield return SimulateVerb.Build();
    }
}
