using Stakeboat.Core.Boats;
using Stakeboat.Core.Calls;

namespace Stakeboat.Simulation.Talk;

/// <summary>
/// Every way of saying where a rival lies, from the margin that the coxswain believes (m, positive: we lead) and the hull's geometry.
/// On their k-seat with the cox: m = x_cox - x_k. Bow ball on their k: m = -x_k. They on our k: m = x_k - x_cox.
/// </summary>
internal static class MarginTalk
{
    public static Part Say(string crew, double m, HullGeometry hull, Dice dice)
    {
        double p = hull.SeatSpacing.Metres, length = hull.Length.Metres, seats = m / p;
        bool sternCox = hull.Cox is not null && !hull.CoxInBow;
        var forms = new List<Part>();
        void Add(string text, MarginCall call) => forms.Add(new Part(text, call));
        MarginCall Boat(double? n = null, double? lengths = null, bool open = false, Side? side = null) =>
            new(crew, "boat", null, n, lengths, null, open, side);
        string up = m > 0 ? "up" : "down";
        Side lead = m > 0 ? Side.Ahead : Side.Behind;
        if (Math.Abs(seats) < 0.5)
        {
            Add($"level with {crew}", Boat(side: Side.Level));
            Add($"{crew} dead even", Boat(side: Side.Level));
            Add($"bow ball and bow ball with {crew}", new MarginCall(crew, "bow", "bow", null, null, null, false, Side.Level));
            return dice.Pick(forms);
        }

        double abs = Math.Abs(seats), lengthsApart = Math.Abs(m) / length;
        if (lengthsApart > 1.12)
        {
            double clear = lengthsApart - 1;
            if (Math.Abs(clear - 0.5) < 0.2)
            {
                Add($"half a length of open water on {crew}", Boat(lengths: 0.5, open: true, side: m > 0 ? null : Side.Behind));
            }
            else if (m > 0)
            {
                Add($"open water on {crew}", Boat(open: true));
            }
            else
            {
                Add($"{crew} are clear ahead of us", Boat(open: true, side: Side.Behind));
            }

            return dice.Pick(forms);
        }

        if (lengthsApart >= 0.88)
        {
            Add($"a length {up} on {crew}", Boat(lengths: 1, side: lead));
        }

        if (Math.Abs(lengthsApart - 0.75) <= 0.13 && abs > hull.Seats)
        {
            Add($"three quarters of a length {up} on {crew}", Boat(lengths: 0.75, side: lead));
        }

        if (Math.Abs(lengthsApart - 0.5) < 0.07)
        {
            Add($"half a length {up} on {crew}", Boat(lengths: 0.5, side: lead));
        }

        if (Math.Abs(Math.Abs(m) - hull.Canvas.Metres) < 0.3 * p)
        {
            Add($"a canvas {up} on {crew}", Boat(lengths: 0.25, side: lead));
        }

        int n = (int)Math.Round(abs);
        if (n >= 1 && abs < hull.Seats + 0.5)
        {
            string unit = n == 1 ? "seat" : "seats";
            Add($"{up} {Numbers.Small(n)} {unit} on {crew}", Boat(n, side: lead));
            if (m < 0)
            {
                Add($"{crew} have {Numbers.Small(n)} {unit} on us", Boat(n, side: lead));
            }
        }

        int onTheirs = sternCox ? SeatAt(hull.Cox!.Value.Metres - m) : 0;
        if (m > 0 && onTheirs > 0)
        {
            var call = new MarginCall(crew, "cox", Seat(onTheirs), null, null, null, false, null);
            Add($"{crew} I'm on their {Name(onTheirs)}", call);
            Add($"I'm on {crew}'s {Name(onTheirs)} seat", call);
        }
        else if (m > 0 && sternCox && Math.Abs(hull.Cox!.Value.Metres - m) < p / 2)
        {
            Add($"{crew} I've got their bow ball", new MarginCall(crew, "cox", "bow", null, null, null, false, null));
        }

        int bowOn = SeatAt(-m);
        if (m < 0 && bowOn > 0)
        {
            Add($"bow ball on {crew}'s {Name(bowOn)}", new MarginCall(crew, "bow", Seat(bowOn), null, null, null, false, null));
        }

        int onOurs = sternCox ? SeatAt(hull.Cox!.Value.Metres + m) : 0;
        if (m < 0 && onOurs > 0)
        {
            Add($"{crew} they're on our {Name(onOurs)}", new MarginCall(crew, Seat(onOurs), null, null, null, null, false, null, true));
        }

        if (forms.Count == 0)
        {
            double quarters = Math.Max(1, Math.Round(4 * lengthsApart)) / 4;
            string said = quarters switch { <= 0.25 => "a quarter of a length", <= 0.5 => "half a length", <= 0.75 => "three quarters of a length", _ => "a length" };
            Add($"{said} {up} on {crew}", Boat(lengths: Math.Min(1, quarters), side: lead));
        }

        return dice.Pick(forms);

        // The seat whose middle lies within half a spacing of x metres aft of the bow ball; 0 where there is none.
        int SeatAt(double x)
        {
            int k = (int)Math.Round((x - hull.BowSeat.Metres) / p) + 1;
            return k >= 1 && k <= hull.Seats ? k : 0;
        }

        string Name(int k) => k == hull.Seats ? "stroke" : k == 1 ? "bow" : Numbers.Small(k);

        static string Seat(int k) => k.ToString(System.Globalization.CultureInfo.InvariantCulture);
    }
}
