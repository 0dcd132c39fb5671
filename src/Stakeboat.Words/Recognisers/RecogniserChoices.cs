namespace Stakeboat.Words.Recognisers;

/// <summary>
/// The recognisers of a machine: the embedded one with its models folder, the one that Debian carries, and those that the person has
/// described in <c>recognisers.txt</c> of the data folder, a line each.
/// </summary>
public sealed class RecogniserChoices
{
    /// <summary>File with descriptions, beside the models folder.</summary>
    public const string SettingsFile = "recognisers.txt";

    private readonly Func<string, string> _sounds;

    /// <param name="models">Folder of the embedded recogniser's model.</param>
    /// <param name="settings">File of descriptions; need not exist.</param>
    /// <param name="sounds">Sounds of words that a recogniser's dictionary lacks.</param>
    public RecogniserChoices(string models, string settings, Func<string, string> sounds)
    {
        (Models, Settings, _sounds) = (models, settings, sounds);
    }

    public string Models { get; }

    public string Settings { get; }

    /// <summary>Name and state of each, in the order in which they are tried: the person's own first.</summary>
    public IReadOnlyList<(string Name, RecogniserState State)> All()
    {
        var all = new List<(string, RecogniserState)>();
        foreach (string line in Lines())
        {
            try
            {
                var description = CommandDescription.Parse(line);
                all.Add((description.Name, CommandRecogniser.CheckOf(description)));
            }
            catch (FormatException e)
            {
                all.Add((line.Split('|')[0].Trim(), new RecogniserState(false, $"{SettingsFile}: {e.Message}")));
            }
        }

        using var embedded = new WhisperRecogniser(Models);
        all.Add(("embedded", embedded.Check()));
        all.Add((CommandDescription.Pocketsphinx.Name, CommandRecogniser.CheckOf(CommandDescription.Pocketsphinx)));
        return all;
    }

    /// <summary>A recogniser by its name or its whole description; null: the first that is ready.</summary>
    /// <exception cref="RecogniserException">None is ready, or there is none of that name: a sentence with the remedy.</exception>
    public IRecogniser Open(string? which)
    {
        if (which is null)
        {
            var all = All();
            which = all.FirstOrDefault(r => r.State.Ready).Name
                ?? throw new RecogniserException("No recogniser is ready on this machine." + Environment.NewLine + string.Join(Environment.NewLine, all.Select(r => r.State.Sentence)));
        }

        if (which == "embedded")
        {
            return new WhisperRecogniser(Models);
        }

        try
        {
            string? line = which.Contains('|', StringComparison.Ordinal) ? which : Lines().FirstOrDefault(l => l.Split('|')[0].Trim() == which);
            return line is not null ? new CommandRecogniser(CommandDescription.Parse(line), _sounds)
                : which == CommandDescription.Pocketsphinx.Name ? new CommandRecogniser(CommandDescription.Pocketsphinx, _sounds)
                : throw new RecogniserException($"There is no recogniser called {which}. There are {string.Join(", ", All().Select(r => r.Name))}; others are described in {Settings}, a line each: name | command line | answer.");
        }
        catch (FormatException e)
        {
            throw new RecogniserException(e.Message, e);
        }
    }

    private IEnumerable<string> Lines() => File.Exists(Settings)
        ? File.ReadLines(Settings).Select(l => l.Trim()).Where(l => l.Length > 0 && l[0] != '#') : [];
}
