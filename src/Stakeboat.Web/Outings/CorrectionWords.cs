using System.Globalization;
using Stakeboat.Exchange;
using Stakeboat.Exchange.Corrections;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Web.Outings;

/// <summary>Refuses corrections that cannot be meant, before they are kept.</summary>
public static class CorrectionCheck
{
    /// <exception cref="ExchangeException">Something in it is out of range.</exception>
    public static void Demand(CorrectionDocument correction)
    {
        ArgumentNullException.ThrowIfNull(correction);
        switch (correction)
        {
            case { Start.GoAt: var t } when !(double.IsFinite(t) && t is >= -86400 and <= 864000):
            case { Call.At: var at } when !double.IsFinite(at):
            case { Call.Moved: { } moved } when !double.IsFinite(moved):
                throw new ExchangeException("That is no moment of this recording.");
            case { Lane.Lane: < 0 or > 200 }:
                throw new ExchangeException("A lane or station is a number from 0 to 200.");
            case { Distance.Metres: var m } when !(m is >= 100 and <= 200_000):
                throw new ExchangeException("A race is between 100 m and 200 km long.");
            case { Clock: { } c } when c.Clock is not ("motion" or "satellite") || !(Math.Abs(c.Shift) <= 86400):
                throw new ExchangeException("The clocks of the motion log and of the satellites can be shifted, by at most a day.");
            case { Crew.Is: var name } when string.IsNullOrWhiteSpace(name) || name.Length > 80:
                throw new ExchangeException("A crew's name has between 1 and 80 characters.");
            case { Words.Use: var use } when string.IsNullOrWhiteSpace(use) || use.Length > 120:
                throw new ExchangeException("Captions are chosen by the name of their file.");
            case { Line: { } line } when !double.IsFinite(line.At) || line.Is is not { Length: <= 1000 }:
                throw new ExchangeException("A line of captions has at most 1000 characters.");
            case { Call.Is: { } call }:
                _ = Exchange.Calls.CallParts.ToCall(call);
                break;
        }
    }
}

/// <summary>A correction in one sentence.</summary>
public static class CorrectionWords
{
    public static string Of(CorrectionDocument correction)
    {
        ArgumentNullException.ThrowIfNull(correction);
        return correction switch
        {
            { Call: { Is: null } c } => $"At {Clock(c.At)} \"{c.Heard}\" is no call.",
            { Call: { Was: null, Is: { } i } c } => $"At {Clock(c.At)} a call was added: {Ui.CallWords.Of(i)}.",
            { Call: { Is: { } i } c } => $"At {Clock(c.At)} the call is {Ui.CallWords.Of(i)}, not {Ui.CallWords.Of(c.Was!)}.",
            { Start: { } s } => $"The start was at {Clock(s.GoAt)}.",
            { Lane: { } l } => string.Create(CultureInfo.InvariantCulture, $"{l.Crew} had lane {l.Lane}."),
            { Crew: { Was: { } was } c } => $"{was} is {c.Is}.",
            { Crew: { } c } => $"{c.Is} raced too.",
            { Distance: { } d } => string.Create(CultureInfo.InvariantCulture, $"The race was {d.Metres:0} m long."),
            { Clock: { } c } => string.Create(CultureInfo.InvariantCulture, $"The {(c.Clock == "motion" ? "motion log" : "track")} is {Math.Abs(c.Shift):0.00} s {(c.Shift >= 0 ? "later" : "earlier")}."),
            { Words: { } w } => w.Use == WordsCorrectionPart.Both ? "Both captions count." : $"The words of {w.Use} count.",
            { Line: { } l } => l.Is.Length == 0 ? $"At {Clock(l.At)} nothing was said." : $"At {Clock(l.At)} \"{l.Is}\" was said, not \"{l.Was}\".",
            _ => "Put right.",
        };
    }

    /// <summary>Seconds of the recording as minutes and seconds.</summary>
    public static string Clock(double seconds) =>
        string.Create(CultureInfo.InvariantCulture, $"{(seconds < 0 ? "-" : "")}{(int)Math.Abs(seconds) / 60}:{Math.Abs(seconds) % 60:00.0}");
}

/// <summary>What a correction did to the debrief, in a sentence or two.</summary>
public static class WhatChanged
{
    public static string Between(DebriefDocument before, DebriefDocument after)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        var parts = new List<string>();
        if (Different(before.Clock.GoAt, after.Clock.GoAt, 0.05) && after.Clock.GoAt is { } go)
        {
            parts.Add($"The start is now at {CorrectionWords.Clock(go)}.");
        }

        foreach (var now in after.Margins)
        {
            double seat = after.Crews.FirstOrDefault(c => c.Name == now.Crew)?.SeatSpacing ?? after.Us.SeatSpacing;
            if (before.Margins.FirstOrDefault(m => m.Crew == now.Crew) is not { } was)
            {
                parts.Add($"{now.Crew} has a margin now.");
                continue;
            }

            double most = 0, at = 0, from = 0, to = 0;
            for (int i = 0; i < now.Metres.Count; i++)
            {
                double t = now.T0 + i;
                int j = (int)Math.Round(t - was.T0);
                if (j >= 0 && j < was.Metres.Count && Math.Abs(now.Metres[i] - was.Metres[j]) > Math.Abs(most))
                {
                    most = now.Metres[i] - was.Metres[j];
                    (at, from, to) = (t, was.Metres[j], now.Metres[i]);
                }
            }

            if (Math.Abs(most) >= 0.1 * seat)
            {
                parts.Add(string.Create(CultureInfo.InvariantCulture,
                    $"The margin to {now.Crew} moved most at {CorrectionWords.Clock(at)}: from {from / seat:+0.0;-0.0;0.0} to {to / seat:+0.0;-0.0;0.0} seats."));
            }
        }

        int findings = after.Findings.Count(f => before.Findings.All(b => b.Sentence != f.Sentence));
        if (findings > 0)
        {
            parts.Add(findings == 1 ? "One finding reads differently." : string.Create(CultureInfo.InvariantCulture, $"{findings} findings read differently."));
        }

        return parts.Count == 0 ? "No margin and no finding changed." : string.Join(' ', parts);
    }

    private static bool Different(double? a, double? b, double by) => a is null != b is null || (a is { } x && b is { } y && Math.Abs(x - y) >= by);
}
