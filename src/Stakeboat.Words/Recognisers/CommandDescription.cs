namespace Stakeboat.Words.Recognisers;

/// <summary>
/// An installed command that turns WAV files into words, as one line of the settings:
/// <c>name | command line | form of its answer</c>. In the command line {wav} stands for the sound, {out} for a file that the answer
/// is written to (without it the answer is read from standard output), {lm} and {dict} for the language model and the pronunciation
/// dictionary; a part in [square brackets] is left out where no language model is given. A command that takes many sounds at once has
/// {list} in place of {wav}: a file with a name on each line, the sounds are {folder}/NAME.wav. The answer is <c>words</c> (lines of
/// <c>word start end probability</c>), <c>ctm</c> (lines of <c>name channel start duration word probability</c>, NIST's form), <c>vtt</c>, <c>srt</c>
/// or <c>json</c>. If the command also leaves {folder}/NAME.lat, a word lattice in HTK's standard form with posteriors, alternatives are read from it.
/// </summary>
public sealed record CommandDescription(string Name, IReadOnlyList<string> Arguments, IReadOnlyList<string> ModelArguments, string Answer)
{
    private static readonly string[] Answers = ["words", "ctm", "vtt", "srt", "json"];

    /// <summary>
    /// The recogniser that Debian carries (packages pocketsphinx and pocketsphinx-en-us), many stretches at a time: the model is loaded once
    /// for all, and the mean of each stretch is taken out of its own features. Silence is not taken out: the stretches are cut already, and times stay true.
    /// </summary>
    public static CommandDescription Pocketsphinx { get; } = Parse(
        "pocketsphinx | pocketsphinx_batch -adcin yes -adchdr 44 -cepdir {folder} -cepext .wav -ctl {list} -ctm {out} -outlatdir {folder} -outlatfmt htk "
        + "-remove_silence no -logfn /dev/null [-lm {lm} -dict {dict}] | ctm");

    /// <summary>The command takes many sounds at once.</summary>
    public bool TakesMany => Arguments.Any(a => a.Contains("{list}", StringComparison.Ordinal));

    /// <exception cref="FormatException">The line has not three parts, or the answer's form is unknown.</exception>
    public static CommandDescription Parse(string line)
    {
        ArgumentNullException.ThrowIfNull(line);
        string[] parts = line.Split('|', StringSplitOptions.TrimEntries);
        if (parts.Length != 3 || parts[0].Length == 0 || parts[1].Length == 0)
        {
            throw new FormatException($"A recogniser is described as: name | command line | answer. This line is not: {line}");
        }

        if (Array.IndexOf(Answers, parts[2]) < 0)
        {
            throw new FormatException($"The answer of a recogniser is one of {string.Join(", ", Answers)}, not \"{parts[2]}\": {line}");
        }

        int open = parts[1].IndexOf('[', StringComparison.Ordinal), close = parts[1].IndexOf(']', StringComparison.Ordinal);
        if (open >= 0 != close >= 0 || close < open)
        {
            throw new FormatException($"The part for the language model opens with [ and closes with ]: {line}");
        }

        string model = open >= 0 ? parts[1][(open + 1)..close] : "";
        string rest = open >= 0 ? parts[1][..open] + " " + parts[1][(close + 1)..] : parts[1];
        string[] arguments = rest.Split(' ', StringSplitOptions.RemoveEmptyEntries);
        if (arguments.Length == 0 || !(rest.Contains("{wav}", StringComparison.Ordinal) ^ rest.Contains("{list}", StringComparison.Ordinal)))
        {
            throw new FormatException($"The command line must say where the sound goes, as {{wav}}, or as {{list}} for many at once: {line}");
        }

        if (rest.Contains("{list}", StringComparison.Ordinal) != (parts[2] == "ctm"))
        {
            throw new FormatException($"A command that takes a {{list}} answers in the form ctm, and no other does: {line}");
        }

        return new CommandDescription(parts[0], arguments, model.Split(' ', StringSplitOptions.RemoveEmptyEntries), parts[2]);
    }
}
