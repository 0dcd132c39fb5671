namespace Stakeboat.Core.Calls.Learned;

/// <summary>A call proposed at a token before neighbours are put together: its fields and how sure they are.</summary>
/// <param name="Present">Probability that a call of this type is complete here, not yet calibrated.</param>
/// <param name="Fields">Probability of the deciding fields given that it is, their product.</param>
internal sealed record EarProposal(int Token, EarType Type, double Present, Call Call, double Fields);

/// <summary>Turns the net's numbers at one token into a call with fields.</summary>
internal sealed class EarReading
{
    private const int PointerSize = 48;
    private const int CrewSize = 32;
    private readonly EarWeights weights;
    private readonly EarInput input;
    private readonly EarContext context;
    private readonly int[] fieldAt = new int[EarClasses.Fields];
    private readonly int[] quantityAt = new int[EarClasses.Quantities];
    private readonly float[] middle = new float[EarNet.Middle];
    private readonly float[] fields;
    private readonly float[] quantities;

    public EarReading(EarWeights weights, EarInput input, EarContext context)
    {
        this.weights = weights;
        this.input = input;
        this.context = context;
        var at = 0;
        for (var f = 0; f < EarClasses.Fields; f++)
        {
            fieldAt[f] = at;
            at += EarClasses.FieldSizes[f];
        }

        fields = new float[at];
        at = 0;
        for (var q = 0; q < EarClasses.Quantities; q++)
        {
            quantityAt[q] = at;
            at += weights.Grids[q].Length;
        }

        quantities = new float[at];
    }

    /// <summary>Sets the token whose fields are read next. States: the net's output for the words around,.</summary>
    public void At(float[] states, int row)
    {
        var h = states.AsSpan(row * EarNet.Wide, EarNet.Wide);
        EarNet.Linear(weights["z.weight"], weights["z.bias"], h, middle);
        for (var i = 0; i < middle.Length; i++)
        {
            middle[i] = Math.Max(0, middle[i]);
        }

        EarNet.Linear(weights["fields.weight"], weights["fields.bias"], middle, fields);
        EarNet.Linear(weights["quants.weight"], weights["quants.bias"], middle, quantities);
    }

    public EarProposal Read(EarType type, double present, float[] states, int token)
    {
        double sure = 1;
        var call = type switch
        {
            EarType.Rate => new RateCall(Number(EarQuantity.Rate, ref sure) ?? 0, Class(EarField.RateSense) == 0 ? RateSense.Now : RateSense.Wanted),
            EarType.RateChange => RateChange(ref sure),
            EarType.Pace => new PaceCall(Number(EarQuantity.Pace, ref sure) ?? 0),
            EarType.Distance => new DistanceCall(
                Number(EarQuantity.Distance, ref sure) ?? 0, Class(EarField.DistanceSense, ref sure) == 0 ? DistanceSense.Gone : DistanceSense.Left),
            EarType.Time => new TimeCall(Number(EarQuantity.Time, ref sure) ?? 0, Class(EarField.TimeSense) == 0 ? TimeSense.Gone : TimeSense.UntilEvent),
            EarType.StrokesTo => new StrokesToCall(Whole(EarQuantity.StrokesTo, ref sure) ?? 0, EarClasses.Targets[Class(EarField.StrokesTo)]),
            EarType.Count => new CountCall(Whole(EarQuantity.Count, ref sure) ?? 0),
            EarType.Margin => Margin(ref sure),
            EarType.Want => Want(ref sure),
            EarType.Trend => Trend(ref sure),
            EarType.RivalMove => new RivalMoveCall(Crew(3, ref sure)),
            EarType.Move => new MoveCall(Whole(EarQuantity.Move, ref sure), null),
            EarType.Shift => new ShiftCall(EarClasses.Shifts[Class(EarField.ShiftTo, ref sure)]),
            EarType.Command => new CommandCall(EarClasses.Deeds[Class(EarField.CommandDo, ref sure)], EarClasses.Rowers[Class(EarField.CommandWho, ref sure)]),
            EarType.Steer => new SteerCall(EarClasses.SteerSides[Class(EarField.SteerSide, ref sure)], EarClasses.SteerWays[Class(EarField.SteerHow)]),
            EarType.Technique => new TechniqueCall(EarClasses.Topics[Class(EarField.TechniqueTopic, ref sure)]),
            EarType.Conditions => new ConditionsCall(EarClasses.Weathers[Class(EarField.ConditionsWhat, ref sure)]),
            _ => (Call)new SpiritCall(),
        };
        return new EarProposal(token, type, present, call, sure);

        double? Number(EarQuantity q, ref double p) => Quantity(q, states, token, ref p);

        int? Whole(EarQuantity q, ref double p) => Number(q, ref p) is { } v ? (int)Math.Round(v) : null;

        RateChangeCall RateChange(ref double p)
        {
            double ignored = 1;
            var by = Number(EarQuantity.By, ref p) ?? 0;
            var up = Class(EarField.RateChangeSign, ref p) == 0;
            return new RateChangeCall(up ? by : -by, Whole(EarQuantity.In, ref ignored), Whole(EarQuantity.Over, ref ignored));
        }

        MarginCall Margin(ref double p)
        {
            var our = EarClasses.Ours[Class(EarField.MarginOur, ref p)];
            var their = EarClasses.References[Class(EarField.MarginTheir, ref p)];
            var side = EarClasses.Sides[Class(EarField.MarginSide, ref p)];
            var open = Class(EarField.MarginOpenWater, ref p) == 1;
            var seats = Number(EarQuantity.Seats, ref p);
            var lengths = Number(EarQuantity.Lengths, ref p);
            var metres = Number(EarQuantity.Gap, ref p);
            var crew = Crew(0, ref p);
            var mirror = char.IsAsciiDigit(our[0]);
            return new MarginCall(crew, our, mirror ? null : their, seats, lengths, metres, open, side, mirror);
        }

        WantCall Want(ref double p)
        {
            double ignored = 1;
            var their = EarClasses.References[Class(EarField.WantTheir)];
            var seats = Number(EarQuantity.WantSeats, ref ignored);
            return new WantCall(Crew(1, ref p), seats, their);
        }

        TrendCall Trend(ref double p)
        {
            double ignored = 1;
            var who = Class(EarField.TrendWho, ref p) == 0 ? Who.Us : Who.Them;
            var seats = Number(EarQuantity.TrendSeats, ref ignored);
            return new TrendCall(Crew(2, ref p), who, seats);
        }

        string? Crew(int kind, ref double p) => NamedCrew(kind, states, token, ref p);
    }

    private int Class(EarField field)
    {
        double ignored = 1;
        return Class(field, ref ignored);
    }

    private int Class(EarField field, ref double sure)
    {
        var s = Softmax(fields.AsSpan(fieldAt[(int)field], EarClasses.FieldSizes[(int)field]));
        var k = Best(s);
        sure *= s[k];
        return k;
    }

    private static int Best(double[] s)
    {
        var k = 0;
        for (var i = 1; i < s.Length; i++)
        {
            if (s[i] > s[k])
            {
                k = i;
            }
        }

        return k;
    }

    private static double[] Softmax(ReadOnlySpan<float> v)
    {
        var s = new double[v.Length];
        double top = double.NegativeInfinity, sum = 0;
        foreach (var x in v)
        {
            top = Math.Max(top, x);
        }

        for (var i = 0; i < v.Length; i++)
        {
            sum += s[i] = Math.Exp(v[i] - top);
        }

        for (var i = 0; i < s.Length; i++)
        {
            s[i] /= sum;
        }

        return s;
    }

    /// <summary>The likeliest value: a class's or one that number words nearby give; equal values add up.</summary>
    private double? Quantity(EarQuantity q, float[] states, int token, ref double sure)
    {
        var grid = weights.Grids[(int)q];
        var numbers = EarClasses.Numbers(q, input.Spans, token);
        var scores = new float[grid.Length + numbers.Count];
        quantities.AsSpan(quantityAt[(int)q], grid.Length).CopyTo(scores);
        if (numbers.Count > 0)
        {
            Point(q, numbers, states, token, scores.AsSpan(grid.Length));
        }

        var s = Softmax(scores);
        var values = new List<double>();
        var mass = new List<double>();
        for (var i = 0; i < s.Length; i++)
        {
            var v = i >= grid.Length ? numbers[i - grid.Length].Value : grid[i] == EarClasses.Halfway ? (context.Distance ?? 2000) / 2 : grid[i];
            var same = Same(values, v, i >= grid.Length ? EarClasses.Tolerance(q) * .5 : 0);
            if (same < 0)
            {
                values.Add(v);
                mass.Add(s[i]);
            }
            else
            {
                mass[same] += s[i];
            }
        }

        var best = 0;
        for (var i = 1; i < mass.Count; i++)
        {
            if (mass[i] > mass[best])
            {
                best = i;
            }
        }

        sure *= mass[best];
        return double.IsNaN(values[best]) ? null : Math.Round(values[best], 4);
    }

    private static int Same(List<double> values, double v, double tolerance)
    {
        for (var k = 0; k < values.Count; k++)
        {
            if (values[k].Equals(v) || Math.Abs(values[k] - v) <= tolerance)
            {
                return k;
            }
        }

        return -1;
    }

    private void Point(EarQuantity q, List<EarNumber> numbers, float[] states, int token, Span<float> scores)
    {
        Span<float> here = stackalloc float[PointerSize];
        Span<float> span = stackalloc float[PointerSize];
        Span<float> feature = stackalloc float[PointerSize];
        Span<float> x = stackalloc float[EarClasses.NumberFeatures];
        Span<float> both = stackalloc float[EarNet.Wide];
        var kind = weights["q_kind.weight"].AsSpan((int)q * PointerSize, PointerSize);
        var output = weights["q_out.weight"];
        EarNet.Linear(weights["q_here.weight"], weights["q_here.bias"], Row(states, token), here);
        for (var k = 0; k < numbers.Count; k++)
        {
            var s = input.Spans[numbers[k].Span];
            var a = Row(states, s.Start);
            var b = Row(states, s.End);
            for (var i = 0; i < both.Length; i++)
            {
                both[i] = a[i] + b[i];
            }

            EarClasses.Features(input.Spans, numbers[k], token, x);
            EarNet.Linear(weights["q_span.weight"], weights["q_span.bias"], both, span);
            EarNet.Linear(weights["q_feat.weight"], weights["q_feat.bias"], x, feature);
            var score = weights["q_out.bias"][0];
            for (var i = 0; i < PointerSize; i++)
            {
                score += output[i] * MathF.Tanh(here[i] + span[i] + feature[i] + kind[i]);
            }

            scores[k] = score;
        }
    }

    private static ReadOnlySpan<float> Row(float[] states, int row) => states.AsSpan(row * EarNet.Wide, EarNet.Wide);

    /// <summary>The crew that is meant, or null. A named crew with .3 or more is preferred to nobody.</summary>
    private string? NamedCrew(int kind, float[] states, int token, ref double sure)
    {
        Span<float> here = stackalloc float[CrewSize];
        Span<float> feature = stackalloc float[CrewSize];
        Span<float> named = stackalloc float[CrewSize];
        EarNet.Linear(weights["c_here.weight"], weights["c_here.bias"], Row(states, token), here);
        var rows = input.CrewRows(token);
        var scores = new float[rows.Length];
        var own = weights["c_kind.weight"].AsSpan(kind * CrewSize, CrewSize);
        for (var k = 0; k < rows.Length; k++)
        {
            EarNet.Linear(weights["c_feat.weight"], weights["c_feat.bias"], rows[k], feature);
            named.Clear();
            if (k > 0 && input.Spot(k - 1, token) is var spot && spot >= 0)
            {
                EarNet.Linear(weights["c_span.weight"], null, Row(states, spot), named);
            }

            var score = weights["c_out.bias"][0];
            for (var i = 0; i < CrewSize; i++)
            {
                score += weights["c_out.weight"][i] * MathF.Tanh(here[i] + named[i] + feature[i] + own[i]);
            }

            scores[k] = score;
        }

        var s = Softmax(scores);
        var best = FirstBest(s, 0);
        if (best == 0 && s.Length > 1)
        {
            var j = FirstBest(s, 1);
            best = s[j] > .3 ? j : 0;
        }

        sure *= s[best];
        return best == 0 ? null : context.Crews[best - 1];
    }

    /// <summary>Crews of whom nothing tells one from another score the same but for rounding: the first is taken.</summary>
    private static int FirstBest(double[] s, int from)
    {
        var k = from;
        for (var i = from + 1; i < s.Length; i++)
        {
            k = s[i] > s[k] + 1e-6 ? i : k;
        }

        return k;
    }
}
