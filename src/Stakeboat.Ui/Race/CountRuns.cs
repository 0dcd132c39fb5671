using System.Globalization;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Ui.Race;

/// <summary>A stretch of captions that is shown as one line, or a single caption.</summary>
/// <param name="From">Index of the first caption.</param>
/// <param name="To">Index of the last.</param>
/// <param name="Counted">What stands in the line; null for a single caption.</param>
public sealed record CountRun(int From, int To, string? Counted);

/// <summary>Folds counted strokes: "one", "two", "three" each in a caption of its own would fill the column.</summary>
public static class CountRuns
{
    /// <summary>Fewer counted captions than this stay as they are.</summary>
    public const int Least = 3;

    public static IReadOnlyList<CountRun> Of(CalledPart called)
    {
        ArgumentNullException.ThrowIfNull(called);
        var calls = called.Calls.GroupBy(c => c.Id).ToDictionary(g => g.Key, g => g.First());
        var runs = new List<CountRun>();
        for (int i = 0; i < called.Cues.Count; i++)
        {
            int last = i - 1, counted = 0;
            var numbers = new List<int>();
            for (int j = i; j < called.Cues.Count; j++)
            {
                var own = called.Cues[j].Calls.Select(id => calls.GetValueOrDefault(id)).OfType<CallPart>().ToList();
                if (own.Count > 0 && own.TrueForAll(c => c.Type == "count"))
                {
                    last = j;
                    counted++;
                    numbers.AddRange(own.Select(c => c.N).OfType<int>());
                }
                else if (!(counted > 0 && own.Count == 0 && called.Cues[j].Text.Split(' ', StringSplitOptions.RemoveEmptyEntries).Length <= 2))
                {
                    // A mis-heard number between two counted ones ("won", "to", "then") does not end the counting; anything else does.
                    break;
                }
            }

            if (counted >= Least)
            {
                runs.Add(new CountRun(i, last, string.Create(CultureInfo.InvariantCulture, $"counted {numbers.Min()} to {numbers.Max()}")));
                i = last;
            }
            else
            {
                runs.Add(new CountRun(i, i, null));
            }
        }

        return runs;
    }
}
