using Stakeboat.Core.Calls.Grammar;

namespace Stakeboat.Core.Calls.Context;

/// <summary>How likely a kind of call is before its words are weighed: by the state of the outing and what was spoken of.</summary>
internal static class Prior
{
    public static double Of(Draft draft, Match match, Setting setting)
    {
        double score = draft.Weak ? -1.2 : 0;
        bool racing = setting.Phase is null or "race";
        bool spokenOf = setting.TalkOf is not null;
        return score + draft.Call switch
        {
            RateChangeCall when match.Rule.Weight < 1 => spokenOf && racing ? -0.8 : 0.6,
            MarginCall { Seats: not null } m when m.Crew is null && match.Words <= 2 => spokenOf && racing ? 0.3 : -0.5,
            CommandCall { Do: Deed.Pressure or Deed.Drill or Deed.Switch } when setting.Phase == "race" => -0.6,
            CommandCall { Do: Deed.Stop or Deed.Row } when setting.Phase == "race" => -0.4,
            MarginCall or WantCall or TrendCall or RivalMoveCall when setting.Phase == "before" => -0.8,
            CountCall when match.Words == 1 => -0.2,
            _ => 0,
        };
    }
}
