namespace Stakeboat.Words.Recognisers;

/// <summary>
/// An installed command that turns a WAV file into words, as one line of the settings:
/// <c>name | command line | form of its answer</c>. In the command line {wav} stands for the sound, {out} for a file that the answer
/// is written to (without it the answer is read from standard output), {lm} and {dict} for the language model and the pronunciation
/// dictionary; a part in [square brackets] is left out where no language model is given. The answer is <c>words</c>
/// (lines of <c>word start end probability</c>), <c>vtt</c>, <c>srt</c> or <c>json</c>.
/// </summary>
public sealed record CommandDescription(string Name, IReadOnlyList<string> Arguments, IReadOnlyList<string> ModelArguments, string Answer)
{
    private static readonly string[] Answers = ["words", "vtt", "srt", "json"];

    /// <summary>
    /// The recogniser that Debian carries (packages pocketsphinx and pocketsphinx-en-us). The beams are its defaults; -fwdflat yes and
    /// -bestpath yes make its second and third pass.
    /// </summary>
    public static CommandDescription Pocketsphinx { get; } = Parse(
        "pocketsphinx | pocketsphinx_continuous -infile {wav} -time yes -logfn /dev/null [-lm {lm} -dict {dict}] | words");

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
        if (arguments.Length == 0 || !rest.Contains("{wav}", StringComparison.Ordinal))
        {
            throw new FormatException($"The command line must say where the sound goes, as {{wav}}: {line}");
        }

        return new CommandDescription(parts[0], arguments, model.Split(' ', StringSplitOptions.RemoveEmptyEntries), parts[2]);
    }
}
