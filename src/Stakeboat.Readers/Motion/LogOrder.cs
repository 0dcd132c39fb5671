namespace Stakeboat.Readers.Motion;

/// <summary>Order of time in a motion log: small steps back are sorted, doubles dropped, a log whose clock begins anew is cut there.</summary>
internal static class LogOrder
{
    /// <summary>A step back of at most this is jitter. s.</summary>
    private const double SortWithin = 2;

    /// <summary>Sorts in place and returns how many rows are left.</summary>
    public static int Sort(double[][] columns, int rows, double secondsPerUnit, IssueLog log)
    {
        var t = columns[0];
        bool ordered = true;
        for (int i = 1; i < rows && ordered; i++)
        {
            ordered = t[i] > t[i - 1];
        }

        if (ordered)
        {
            return rows;
        }

        int end = rows;
        double newest = t[0];
        for (int i = 1; i < rows; i++)
        {
            if (t[i] < newest - (SortWithin / secondsPerUnit))
            {
                log.Error(IssueLog.Record(i + 1), "The clock of the log steps back by more than two seconds.", "What follows was left out of the motion log; split the file there.");
                end = i;
                break;
            }

            newest = Math.Max(newest, t[i]);
        }

        // Stable: by time, then by place in the file.
        var order = new int[end];
        for (int i = 0; i < end; i++)
        {
            order[i] = i;
        }

        Array.Sort(order, (a, b) => t[a] != t[b] ? t[a].CompareTo(t[b]) : a.CompareTo(b));
        int sorted = 0;
        for (int i = 0; i < end; i++)
        {
            sorted += order[i] < i ? 1 : 0;
        }

        if (sorted > 0)
        {
            var copy = new double[end];
            foreach (var c in columns)
            {
                for (int i = 0; i < end; i++)
                {
                    copy[i] = c[order[i]];
                }

                Array.Copy(copy, c, end);
            }
        }

        int kept = 1;
        for (int i = 1; i < end; i++)
        {
            if (t[i] > t[kept - 1])
            {
                if (kept != i)
                {
                    foreach (var c in columns)
                    {
                        c[kept] = c[i];
                    }
                }

                kept++;
            }
        }

        if (sorted > 0)
        {
            log.Add(Severity.Note, "", "Samples step back in time by two seconds or less.", "They were put in order.", sorted);
        }

        if (kept < end)
        {
            log.Add(Severity.Warning, "", "Two samples have the same time.", "The first was kept.", end - kept);
        }

        return kept;
    }
}
