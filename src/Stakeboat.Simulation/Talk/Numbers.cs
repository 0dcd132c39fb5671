namespace Stakeboat.Simulation.Talk;

/// <summary>Numbers as they are spoken.</summary>
internal static class Numbers
{
    private static readonly string[] Ones =
    [
        "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen",
        "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
    ];

    private static readonly string[] Tens = ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];

    /// <summary>0 to 99.</summary>
    public static string Small(int n)
    {
        if (n < 0 || n > 99)
        {
            throw new ArgumentOutOfRangeException(nameof(n), n, "Only 0 to 99 are spoken here.");
        }

        return n < 20 ? Ones[n] : n % 10 == 0 ? Tens[n / 10] : $"{Tens[n / 10]} {Ones[n % 10]}";
    }

    /// <summary>A rate in halves: "thirty four and a half".</summary>
    public static string Rate(double spm)
    {
        int whole = (int)Math.Floor(spm + 1e-9);
        return spm - whole > 0.25 ? $"{Small(whole)} and a half" : Small(whole);
    }

    /// <summary>A multiple of 50 m as it is said on the water: "seven fifty", "twelve fifty", "fifteen hundred", "thousand".</summary>
    public static string Metres(int metres)
    {
        int hundreds = metres / 100, rest = metres % 100;
        if (metres % 1000 == 0)
        {
            return metres == 1000 ? "thousand" : $"{Small(metres / 1000)} thousand";
        }

        return hundreds == 0 ? Small(rest) : rest == 0 ? $"{Small(hundreds)} hundred" : $"{Small(hundreds)} {Small(rest)}";
    }

    public static string Pace(int secondsPer500)
    {
        int m = secondsPer500 / 60, s = secondsPer500 % 60;
        return s == 0 ? $"{Small(m)} flat" : s < 10 ? $"{Small(m)} oh {Small(s)}" : $"{Small(m)} {Small(s)}";
    }
}
