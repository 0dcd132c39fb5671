using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Margins;

/// <summary>
/// Where each unknown of the race stands in the state, and how the state moves. Crew 0 is ours.
/// </summary>
/// <remarks>
/// Every crew j has a place e_j, a lasting speed c_j and a passing speed f_j against the field; the field itself has gone S(t) + G(t),
/// S the start profile, G' = g the common conditions. So a margin is e_0 - e_i, its rate (c_0 + f_0) - (c_i + f_i), our own distance S + G + e_0:
/// what the wind does to all cancels in the margins, what we ourselves do moves all of them at once.
/// c and g are random walks, f an Ornstein-Uhlenbeck process; their integrals' covariances are exact.
/// A margin as told is the true one plus the coxswain's own bias plus what the eye sees too much of that rival for a while.
/// </remarks>
internal sealed class MarginStates
{
    public const int Field = 0, FieldSpeed = 1, GoShift = 2, RateSpeed = 3, Bias = 4, TrackShift = 5;
    private const int Fixed = 6;

    public MarginStates(int crews, int anchors)
    {
        Crews = crews;
        Anchors = anchors;
        Size = Fixed + 4 * crews - 1 + anchors;
    }

    public int Crews { get; }

    public int Anchors { get; }

    public int Size { get; }

    public static int Place(int crew) => Fixed + crew;

    public int Lasting(int crew) => Fixed + Crews + crew;

    public int Passing(int crew) => Fixed + 2 * Crews + crew;

    /// <summary>What the eye sees too much or too little of a rival for a while: the angle across the lanes, the light, a habit.</summary>
    public int Look(int rival) => Fixed + 3 * Crews + rival - 1;

    public int Anchor(int index) => Fixed + 4 * Crews - 1 + index;

    public static Functional Margin(int rival) => Functional.Of((Place(0), 1), (Place(rival), -1));

    public Functional MarginTold(int rival) => Functional.Of((Place(0), 1), (Place(rival), -1), (Bias, 1), (Look(rival), 1));

    public static Functional Between(int ahead, int behind) => Functional.Of((Place(ahead), 1), (Place(behind), -1));

    public Functional Rate(int rival) =>
        Functional.Of((Lasting(0), 1), (Passing(0), 1), (Lasting(rival), -1), (Passing(rival), -1));

    public static Functional OffProfile(int crew) => Functional.Of((Field, 1), (Place(crew), 1));

    public Functional SpeedOffProfile(int crew) => Functional.Of((FieldSpeed, 1), (Lasting(crew), 1), (Passing(crew), 1));

    public Functional Change(int rival, int anchor) => Functional.Of((Place(0), 1), (Place(rival), -1), (Anchor(anchor), -1));

    /// <summary>Elementary changes over a span.</summary>
    public StateOp[] Advance(double seconds, double passingSeconds, double lookSeconds)
    {
        if (seconds <= 0)
        {
            return [];
        }

        double a = Math.Exp(-seconds / passingSeconds);
        double k = passingSeconds * (1 - a);
        StateOp[] all =
        [
            StateOp.Add(Field, FieldSpeed, seconds),
            StateOp.Add(Place(0), Lasting(0), seconds, Crews),
            StateOp.Add(Place(0), Passing(0), k, Crews),
            StateOp.Scale(Passing(0), a, Crews),
            StateOp.Scale(Look(1), Math.Exp(-seconds / lookSeconds), Crews - 1),
        ];
        return Crews > 1 ? all : all[..4];
    }

    /// <summary>Keeps a margin as it is now under an anchor.</summary>
    public StateOp[] Drop(int rival, int anchor) =>
        [StateOp.Scale(Anchor(anchor), 0), StateOp.Add(Anchor(anchor), Place(0), 1), StateOp.Add(Anchor(anchor), Place(rival), -1)];

    /// <summary>Entries that <see cref="Noise"/> fills.</summary>
    public int NoiseCount => 2 + 6 * Crews;

    /// <summary>Noise over a span, into the first <see cref="NoiseCount"/> entries.</summary>
    /// <param name="commonPsd">Of the field's speed, m²/s³.</param>
    /// <param name="driftPsd">Of each crew's lasting speed, m²/s³.</param>
    /// <param name="passingVariance">Stationary variance of each crew's passing speed, (m/s)².</param>
    /// <param name="lookVariance">Stationary variance of what the eye sees too much of each rival, m²; index 0 is not used.</param>
    public void Noise(
        NoiseEntry[] noise, double seconds, double commonPsd, double driftPsd, double passingSeconds, ReadOnlySpan<double> passingVariance,
        double lookSeconds, ReadOnlySpan<double> lookVariance)
    {
        double h = seconds, h2 = h * h / 2, h3 = h * h * h / 3;
        double a = Math.Exp(-h / passingSeconds), tau = passingSeconds;
        double r = h / tau;
        double placePassing = tau * tau * (r < 1e-3 ? 2 * r * r * r / 3 : 2 * r - 3 + 4 * a - a * a);
        double cross = tau * (1 - a) * (1 - a);
        double speed = 1 - a * a;
        noise[0] = new NoiseEntry(Field, Field, commonPsd * h3);
        noise[1] = new NoiseEntry(Field, FieldSpeed, commonPsd * h2);
        noise[2] = new NoiseEntry(FieldSpeed, FieldSpeed, commonPsd * h);
        for (int j = 0; j < Crews; j++)
        {
            double v = passingVariance[j];
            int n = 3 + 5 * j;
            noise[n] = new NoiseEntry(Place(j), Place(j), driftPsd * h3 + v * placePassing);
            noise[n + 1] = new NoiseEntry(Place(j), Lasting(j), driftPsd * h2);
            noise[n + 2] = new NoiseEntry(Lasting(j), Lasting(j), driftPsd * h);
            noise[n + 3] = new NoiseEntry(Place(j), Passing(j), v * cross);
            noise[n + 4] = new NoiseEntry(Passing(j), Passing(j), v * speed);
        }

        double fresh = 1 - Math.Exp(-2 * h / lookSeconds);
        for (int i = 1; i < Crews; i++)
        {
            noise[2 + 5 * Crews + i] = new NoiseEntry(Look(i), Look(i), lookVariance[i] * fresh);
        }
    }
}
