namespace Stakeboat.Core.Calls.Learned;

/// <summary>The kinds of call in the order of the net's outputs.</summary>
internal enum EarType
{
    Rate, RateChange, Pace, Distance, Time, StrokesTo, Count, Margin, Want, Trend, RivalMove, Move, Shift, Command, Steer, Technique, Conditions, Spirit,
}

/// <summary>Fields that are one of a few classes, in the order of the net's outputs.</summary>
internal enum EarField
{
    RateSense, RateChangeSign, DistanceSense, TimeSense, StrokesTo, MarginOur, MarginTheir, MarginSide, MarginOpenWater, MarginMirror, WantTheir, TrendWho,
    ShiftTo, CommandDo, CommandWho, SteerSide, SteerHow, TechniqueTopic, ConditionsWhat,
}

/// <summary>Fields that are a number, in the order of the net's outputs.</summary>
internal enum EarQuantity
{
    Rate, By, In, Over, Pace, Distance, Time, StrokesTo, Count, Seats, Lengths, Gap, WantSeats, TrendSeats, Move,
}

/// <summary>How a number word becomes a value.</summary>
internal enum EarTransform { Plain, Minutes, Feet, MinuteAnd, Canvases }

/// <summary>A value that number words near a call may stand for.</summary>
internal readonly record struct EarNumber(int Span, EarTransform Transform, double Value);

/// <summary>Sizes and meanings of what the net gives out. The training scripts hold the same lists.</summary>
internal static class EarClasses
{
    /// <summary>The type of a call as the corpus writes it.</summary>
    public static string TypeName(Call call) => call switch
    {
        RateCall => "rate",
        RateChangeCall => "rateChange",
        PaceCall => "pace",
        DistanceCall => "distance",
        TimeCall => "time",
        StrokesToCall => "strokesTo",
        CountCall => "count",
        MarginCall => "margin",
        WantCall => "want",
        TrendCall => "trend",
        RivalMoveCall => "rivalMove",
        MoveCall => "move",
        ShiftCall => "shift",
        CommandCall => "command",
        SteerCall => "steer",
        TechniqueCall => "technique",
        ConditionsCall => "conditions",
        _ => "spirit",
    };

    public const int Types = 18;
    public const int Fields = 19;
    public const int Quantities = 15;
    public const int NumberFeatures = 39;

    /// <summary>Stands for half of the race's distance.</summary>
    public const double Halfway = -1;

    public static readonly int[] FieldSizes = [2, 2, 2, 2, 7, 12, 12, 4, 2, 2, 12, 2, 5, 9, 18, 3, 3, 11, 6];

    public static readonly string?[] References = [null, "1", "2", "3", "4", "5", "6", "7", "8", "cox", "bow", "stern"];
    public static readonly string[] Ours = ["boat", "1", "2", "3", "4", "5", "6", "7", "8", "cox", "bow", "stern"];

    public static readonly string[] Rowers =
    [
        "all", "sternPair", "bowPair", "sternFour", "bowFour", "middleFour", "sternSix", "bowSix", "port", "starboard", "1", "2", "3", "4", "5", "6", "7", "8",
    ];

    public static readonly StrokesTarget[] Targets =
    [
        StrokesTarget.Finish, StrokesTarget.Mark, StrokesTarget.Sprint, StrokesTarget.Move, StrokesTarget.Stop, StrokesTarget.End, StrokesTarget.Other,
    ];

    public static readonly Side?[] Sides = [null, Side.Ahead, Side.Behind, Side.Level];
    public static readonly RhythmChange[] Shifts = [RhythmChange.Start, RhythmChange.Settle, RhythmChange.Lengthen, RhythmChange.Build, RhythmChange.Sprint];

    public static readonly Deed[] Deeds =
    [
        Deed.Row, Deed.Stop, Deed.HoldWater, Deed.Back, Deed.Touch, Deed.SitReady, Deed.Pressure, Deed.Switch, Deed.Drill,
    ];

    public static readonly SteerSide[] SteerSides = [SteerSide.Port, SteerSide.Starboard, SteerSide.None];
    public static readonly SteerMeans[] SteerWays = [SteerMeans.Rudder, SteerMeans.Pressure, SteerMeans.Point];

    public static readonly Focus[] Topics =
    [
        Focus.Catch, Focus.Finish, Focus.Legs, Focus.Length, Focus.Hands, Focus.Posture, Focus.Ratio, Focus.Set, Focus.Timing, Focus.Clean, Focus.Breathing,
    ];

    public static readonly Condition[] Weathers =
    [
        Condition.HeadWind, Condition.TailWind, Condition.CrossWind, Condition.Wake, Condition.Chop, Condition.Flat,
    ];

    /// <summary>Half the width within which two values of a quantity are the same.</summary>
    public static double Tolerance(EarQuantity q) => q switch
    {
        EarQuantity.Rate => .26,
        EarQuantity.Pace => .5,
        EarQuantity.Seats or EarQuantity.WantSeats or EarQuantity.TrendSeats => .13,
        EarQuantity.Lengths => .03,
        EarQuantity.Gap => .16,
        _ => .01,
    };

    /// <summary>Values that the number words near token t may stand for: no more than the last 24.</summary>
    public static List<EarNumber> Numbers(EarQuantity q, List<NumberSpan> spans, int t)
    {
        var list = new List<EarNumber>();
        for (var k = FirstNear(spans, t); k < spans.Count; k++)
        {
            var s = spans[k];
            if (s.Start > t + 2)
            {
                break;
            }

            if (s.End >= t - 9 && s.End <= t + 2)
            {
                Add(list, q, k, s.Value);
            }
        }

        if (list.Count > 24)
        {
            list.RemoveRange(0, list.Count - 24);
        }

        return list;
    }

    /// <summary>No reading is longer than nine words, so those that start 20 words before t cannot matter.</summary>
    private static int FirstNear(List<NumberSpan> spans, int t)
    {
        int lo = 0, hi = spans.Count;
        while (lo < hi)
        {
            var mid = (lo + hi) / 2;
            if (spans[mid].Start < t - 20)
            {
                lo = mid + 1;
            }
            else
            {
                hi = mid;
            }
        }

        return lo;
    }

    private static void Add(List<EarNumber> list, EarQuantity q, int k, double v)
    {
        switch (q)
        {
            case EarQuantity.Rate:
                If(v is >= 14 and <= 56 && v * 2 % 1 == 0, EarTransform.Plain, v);
                break;
            case EarQuantity.By:
                If(v is > 0 and <= 8, EarTransform.Plain, v);
                break;
            case EarQuantity.In or EarQuantity.Over or EarQuantity.StrokesTo or EarQuantity.Move:
                If(v is >= 1 and <= 40 && v % 1 == 0, EarTransform.Plain, v);
                break;
            case EarQuantity.Count:
                If(v is >= 1 and <= 60 && v % 1 == 0, EarTransform.Plain, v);
                break;
            case EarQuantity.Pace:
                If(v is >= 75 and <= 180, EarTransform.Plain, v);
                If(v is >= 20 and < 60, EarTransform.MinuteAnd, 60 + v);
                break;
            case EarQuantity.Distance:
                If(v is >= 20 and <= 8000, EarTransform.Plain, v);
                break;
            case EarQuantity.Time:
                If(v is >= 1 and <= 3600, EarTransform.Plain, v);
                If(v is >= .25 and <= 30, EarTransform.Minutes, v * 60);
                break;
            case EarQuantity.Seats or EarQuantity.WantSeats or EarQuantity.TrendSeats:
                If(v is > 0 and <= 14, EarTransform.Plain, v);
                break;
            case EarQuantity.Lengths:
                If(v is > 0 and <= 12, EarTransform.Plain, v);
                If(v is > 0 and <= 12, EarTransform.Canvases, v * .25);
                break;
            case EarQuantity.Gap:
                If(v is > 0 and <= 60, EarTransform.Plain, v);
                If(v is > 0 and <= 60, EarTransform.Feet, v * .3048);
                break;
        }

        void If(bool fits, EarTransform tr, double value)
        {
            if (fits)
            {
                list.Add(new EarNumber(k, tr, value));
            }
        }
    }

    /// <summary>What the net is told of a number near token t.</summary>
    public static void Features(List<NumberSpan> spans, EarNumber number, int t, Span<float> f)
    {
        f[..NumberFeatures].Clear();
        var s = spans[number.Span];
        f[(int)number.Transform] = 1;
        f[5 + (int)s.Kind] = 1;
        f[11 + Math.Min(s.End - s.Start, 5)] = 1;
        f[17 + Math.Min(Math.Max(t - s.End + 2, 0), 11)] = 1;
        if (s.SoundsLike)
        {
            f[29] = 1;
        }

        for (var k = FirstNear(spans, s.Start); k < spans.Count && spans[k].Start <= s.Start; k++)
        {
            if (spans[k].Start <= s.Start && spans[k].End >= s.End && spans[k].End - spans[k].Start > s.End - s.Start)
            {
                f[30] = 1;
            }
        }

        var v = s.Value;
        f[31 + (v < 1 ? 0 : v < 3 ? 1 : v < 9 ? 2 : v < 16 ? 3 : v < 26 ? 4 : v < 46 ? 5 : v < 100 ? 6 : 7)] = 1;
    }
}
