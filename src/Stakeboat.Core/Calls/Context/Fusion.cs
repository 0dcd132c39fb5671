using System.Globalization;
using Stakeboat.Core.Calls.Learned;

namespace Stakeboat.Core.Calls.Context;

/// <summary>
/// A logistic model of a proposal being right: an offset, the log odds that each ear gives it, and the type. Read from a text resource that
/// oracles/ear/fuse.py writes.
/// </summary>
internal sealed class Fusion
{
    /// <summary>Below this nothing is given; chosen with the weights.</summary>
    public const double Bar = 0.35;

    private readonly Dictionary<string, double[]> slopes = new(StringComparer.Ordinal);
    private readonly Dictionary<(string, string), double> offsets = [];

    public static Fusion Load()
    {
        using var stream = typeof(Fusion).Assembly.GetManifestResourceStream("Stakeboat.Ear.fusion")
            ?? throw new InvalidDataException("The weights of the two ears are missing from the library.");
        using var reader = new StreamReader(stream);
        return Read(reader);
    }

    internal static Fusion Read(TextReader reader)
    {
        var fusion = new Fusion();
        while (reader.ReadLine() is { } line)
        {
            var part = line.Split(' ', StringSplitOptions.RemoveEmptyEntries);
            if (part.Length < 2 || line.StartsWith('#'))
            {
                continue;
            }

            if (part[0] is "both" or "writtenOnly" or "learnedOnly")
            {
                fusion.offsets[(part[0], part[1])] = double.Parse(part[2], CultureInfo.InvariantCulture);
            }
            else
            {
                fusion.slopes[part[0]] = [.. part[1..].Select(p => double.Parse(p, CultureInfo.InvariantCulture))];
            }
        }

        return fusion;
    }

    public double Agreed(Call call, double written, double learned) => At("agree", "both", call, written, learned);

    public double WrittenAlone(Call call, double written) => At("written", "writtenOnly", call, written, null);

    public double WrittenAgainst(Call call, double written, double learned) => At("against", "writtenOnly", call, written, learned);

    public double LearnedAlone(Call call, double learned) => At("learned", "learnedOnly", call, learned, null);

    public double LearnedAgainst(Call call, double learned, double written) => At("other", "learnedOnly", call, learned, written);

    private double At(string kind, string group, Call call, double own, double? other)
    {
        var w = slopes[kind];
        double z = w[0] + (w[1] * LogOdds(own)) + (other is { } o ? w[2] * LogOdds(o) : 0) + offsets[(group, EarClasses.TypeName(call))];
        return 1 / (1 + Math.Exp(-z));
    }

    private static double LogOdds(double p)
    {
        p = Math.Clamp(p, 0.01, 0.99);
        return Math.Log(p / (1 - p));
    }
}
