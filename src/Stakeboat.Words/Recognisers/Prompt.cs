using Stakeboat.Core.Measurement;

namespace Stakeboat.Words.Recognisers;

/// <summary>Running text that shows a recogniser the words to expect: the crew's first, then the trade's.</summary>
public static class Prompt
{
    public static string For(RaceSheet? sheet)
    {
        var words = new List<string>();
        if (sheet is not null)
        {
            words.AddRange(sheet.Rivals);
            words.Add(sheet.Us.Name);
            words.AddRange(sheet.Us.Names);
            words.AddRange(sheet.Us.Words.Select(w => w.Word));
        }

        string own = words.Count > 0 ? $"The crews and people are {string.Join(", ", words.Distinct(StringComparer.Ordinal))}. " : "";
        return own + "A coxswain calls a rowing race: weigh enough, easy there, bow ball on their three seat, up two seats, half a length, open water, "
            + "power ten, rate thirty six, up two in two, five hundred gone, two fifty to go, bow pair, stern four, hold water.";
    }
}
