using System.CommandLine;
using System.Globalization;
using Stakeboat.Simulation.Folders;
using Stakeboat.Simulation.Racing;

namespace Stakeboat.Cli;

/// <summary>simulate SPEC -o FOLDER: a race whose truth is known.</summary>
internal static class SimulateVerb
{
    public static Command Build()
    {
        var spec = new Argument<string>("SPEC")
        {
            Description = "A race that comes with the program (" + string.Join(", ", NamedScenarios.All.Keys) + ") or a file that describes one (docs/simulation.md).",
        };
        var folder = new Option<string>("--output", "-o") { Description = "Folder that the race is written to; made where it is missing.", Required = true };
        var seed = new Option<string?>("--seed") { Description = "Whole number; the same seed gives the same bytes." };
        var water = new Option<string?>("--water") { Description = "Also write the sound of the boat without a voice to this WAV file." };
        var verb = new Command("simulate", "Rows a race and writes what its sensors, coxswain and officials made of it, and the truth.") { spec, folder, seed, water };
        verb.SetAction(parsed => Run(parsed.GetRequiredValue(spec), parsed.GetRequiredValue(folder), parsed.GetValue(seed), parsed.GetValue(water), parsed.InvocationConfiguration.Output));
        return verb;
    }

    private static int Run(string spec, string folder, string? seedText, string? water, TextWriter output)
    {
        ulong? seed = null;
        if (seedText is not null)
        {
            seed = ulong.TryParse(seedText, NumberStyles.None, CultureInfo.InvariantCulture, out ulong s)
                ? s
                : throw new CliException(ExitCode.Usage, $"--seed {seedText}: a seed is a whole number from 0 up, such as 7.");
        }

        var (race, chosen, captions) = Load(spec, seed);
        SimulatedRace simulated;
        try
        {
            simulated = RaceSimulator.Run(race, chosen);
        }
        catch (ScenarioException e)
        {
            throw new CliException(ExitCode.Data, $"{spec}: {e.Message}");
        }

        IReadOnlyList<string> files;
        try
        {
            files = FolderWriter.Write(simulated, folder, captions);
            if (water is not null)
            {
                File.WriteAllBytes(water, WaterSound.Wav(simulated, simulated.FinishAt + race.After));
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw CliException.CannotWrite(folder, e.Message);
        }

        output.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"{race.Name}: {race.Boat.Code}, {race.DistanceMetres:0} m, {race.Crews.Count} crews, seed {chosen}."));
        foreach (var row in simulated.Result.Rows)
        {
            double t = row.Times[^1].Time.Seconds;
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  {row.Place}  lane {row.Lane}  {row.Crew,-14} {(int)(t / 60)}:{t % 60:00.00}"));
        }

        output.WriteLine($"{folder}: {string.Join(", ", files)}");
        return ExitCode.Done;
    }

    private static (RaceScenario Race, ulong Seed, string Captions) Load(string spec, ulong? seed)
    {
        if (NamedScenarios.All.TryGetValue(spec, out var named) && !File.Exists(spec))
        {
            return (named.Race, seed ?? named.Seed, "vtt");
        }

        if (!File.Exists(spec))
        {
            throw new CliException(ExitCode.NotFound,
                $"{spec}: there is no such file, and no race of that name comes with the program. The names are {string.Join(", ", NamedScenarios.All.Keys)}.");
        }

        try
        {
            var (race, own, captions) = ScenarioReader.Read(File.ReadAllText(spec));
            return (race, seed ?? own ?? 1, captions);
        }
        catch (ScenarioException e)
        {
            throw new CliException(ExitCode.Data, $"{spec}: {e.Message}");
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new CliException(ExitCode.NotFound, $"{spec}: cannot be read: {e.Message}");
        }
    }
}
