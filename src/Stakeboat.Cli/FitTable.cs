using System.Globalization;
using System.Text.Json;
using Stakeboat.Core.Energetics;
using Stakeboat.Core.Physics;
using Stakeboat.Core.Plans;
using Stakeboat.Core.Units;
using Stakeboat.Reports;

namespace Stakeboat.Cli;

/// <summary>A small table typed in by hand, of one of four kinds told by its head line.</summary>
internal sealed class FitTable
{
    private readonly string _path;
    private readonly string[] _head;
    private readonly List<(int Line, string[] Cells)> _rows;

    private FitTable(string path, string[] head, List<(int, string[])> rows)
    {
        _path = path;
        _head = head;
        _rows = rows;
    }

    /// <summary>Null where the file is no such table (a track, a folder).</summary>
    public static FitTable? TryOpen(string path)
    {
        if (!File.Exists(path) || new FileInfo(path).Length > 200_000)
        {
            return null;
        }

        string[] lines = File.ReadAllLines(path);
        var rows = lines.Select((l, i) => (Line: i + 1, Text: l)).Where(l => l.Text.Trim().Length > 0 && !l.Text.TrimStart().StartsWith('#'))
            .Select(l => (l.Line, Cells: l.Text.Split([',', ';', '\t'], StringSplitOptions.TrimEntries))).ToList();
        if (rows.Count == 0)
        {
            return string.Equals(Path.GetExtension(path), ".csv", StringComparison.OrdinalIgnoreCase) ? throw new CliException(ExitCode.Data, $"{path}: the table is empty.") : null;
        }

        string[] head = [.. rows[0].Cells.Select(h => h.ToLowerInvariant())];
        bool known = head.Contains("watts") || (head.Contains("metres") && head.Contains("seconds")) || (head.Contains("speed") && head.Contains("pair")) || (head.Contains("rate") && head.Contains("pace"));
        if (known && !head.Any(h => h is "lat" or "latitude"))
        {
            return new FitTable(path, head, rows[1..]);
        }

        bool number = head.Length is 2 or 3 && head.All(h => double.TryParse(h, NumberStyles.Float, CultureInfo.InvariantCulture, out _));
        return number || (head.Length < 6 && head.Any(h => h is "seconds" or "metres" or "speed" or "rate" or "pace" or "power"))
            ? throw new CliException(ExitCode.Data, $"{path}:{rows[0].Line}: the head line must name the columns: seconds,watts | metres,seconds | speed,headwind,pair,back | rate,pace.")
            : null;
    }

    public void Fit(ReferenceHull hull, bool json, TextWriter output)
    {
        if (_head.Contains("watts"))
        {
            var efforts = _rows.ConvertAll(r => new BestEffort(Seconds(r, "seconds"), Number(r, "watts")));
            var r = EffortFit.Fit(efforts);
            Refuse(r.Refusal);
            var f = r.Fit!;
            Write(output, json, [("cp", f.Cp, "W"), ("wPrime", f.WPrime, "J")], [f.VarCp, f.Cov, f.Cov, f.VarW],
                "efforts " + string.Join(", ", efforts.Select(e => string.Create(CultureInfo.InvariantCulture, $"{e.Watts:0.#} W {PlanPaperText.Clock(e.Seconds)}"))));
        }
        else if (_head.Contains("metres"))
        {
            var pieces = _rows.ConvertAll(r => new BestPiece(Number(r, "metres"), Seconds(r, "seconds")));
            var r = EffortFit.FitSpeed(pieces);
            Refuse(r.Refusal);
            var f = r.Fit!;
            Write(output, json, [("cv", f.Cv, "m/s"), ("dPrime", f.DPrime, "m")], [f.VarCv, f.Cov, f.Cov, f.VarD],
                "pieces " + string.Join(", ", pieces.Select(e => string.Create(CultureInfo.InvariantCulture, $"{e.Metres:0.#} m {PlanPaperText.Clock(e.Seconds)}"))));
        }
        else if (_head.Contains("speed"))
        {
            Pairs(hull, json, output);
        }
        else
        {
            var steps = _rows.ConvertAll(r => (Rate: Number(r, "rate"), Pace: Seconds(r, "pace")));
            if (steps.Count < 2)
            {
                throw new CliException(ExitCode.Data, $"{_path}: nothing was fitted. A ladder has at least two rungs.");
            }

            double middle = steps.Average(s => s.Rate);
            var f = RatePower.Fit([.. steps.Select(s => new RateStep(s.Rate, Math.Pow(500 / s.Pace, PlanCrewFacts.SpeedExponent)))], middle);
            var lift = new Estimate(100 * (Math.Exp(f.Slope.Mean / PlanCrewFacts.SpeedExponent) - 1), 100 * f.Slope.Sd / PlanCrewFacts.SpeedExponent);
            Write(output, json, [("powerSlope", f.Slope, "a stroke/min"), ("liftPercent", lift, "% of speed a stroke/min")], [f.Slope.Sd * f.Slope.Sd],
                "ladder " + string.Join(", ", steps.Select(s => string.Create(CultureInfo.InvariantCulture, $"{s.Rate:0.#} {PlanPaperText.Clock(s.Pace)}"))));
        }
    }

    private void Pairs(ReferenceHull hull, bool json, TextWriter output)
    {
        var r = Calibration.Fit(hull, _rows.ConvertAll(x => new CalibrationPiece(
            SpeedOverGround.FromMetresPerSecond(Number(x, "speed")), Optional(x, "power", 1), Conditions.WithHeadWind(Optional(x, "headwind", 0)), (int)Number(x, "pair"), Number(x, "back") > 0.5)));
        if (r.Refusal is { } why)
        {
            throw new CliException(ExitCode.Data, $"{_path}: nothing was fitted. {CrewCalibrationText.Say(why)}");
        }

        var f = r.Fit!;
        double pace = 500 / f.ReferenceSpeed;
        string line = string.Create(CultureInfo.InvariantCulture, $"reference {PlanPaperText.Clock(pace)} ± {pace * Math.Sqrt(f.LogCovariance[0]):0.0} s");
        Write(output, json, [("referenceSpeed", f.Speed, "m/s"), ("airShare", f.Air, "of the resistance in calm")], f.LogCovariance, line,
            [.. f.NotSeen.Select(CrewCalibrationText.Say)], "logCovariance");
    }

    private void Refuse(FitRefusal? refusal)
    {
        if (refusal is { } r)
        {
            throw new CliException(ExitCode.Data, $"{_path}: nothing was fitted: {PlanCrewFacts.Say(r)}");
        }
    }

    private static void Write(
        TextWriter output, bool json, (string Name, Estimate Value, string Unit)[] found, IReadOnlyList<double> covariance, string line, string[]? remarks = null, string matrix = "covariance")
    {
        if (!json)
        {
            foreach (var (name, v, unit) in found)
            {
                output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{name} {v.Mean:0.####} {unit} (90 %: {v.Low90:0.####} to {v.High90:0.####})"));
            }

            if (covariance.Count == 4)
            {
                output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"correlation {covariance[1] / Math.Sqrt(covariance[0] * covariance[3]):0.00}"));
            }

            foreach (string r in remarks ?? [])
            {
                output.WriteLine(r);
            }

            output.WriteLine("For the head of a plan: " + line);
            return;
        }

        using var s = new OutputStream(output);
        using var j = new Utf8JsonWriter(s);
        j.WriteStartObject();
        foreach (var (name, v, _) in found)
        {
            Estimate(j, name, v);
        }

        Covariance(j, matrix, covariance);
        j.WriteStartArray("remarks");
        foreach (string r in remarks ?? [])
        {
            j.WriteStringValue(r);
        }

        j.WriteEndArray();
        j.WriteString("planLine", line);
        j.WriteEndObject();
    }

    internal static void Estimate(Utf8JsonWriter j, string name, Estimate v)
    {
        j.WriteStartObject(name);
        j.WriteNumber("mean", v.Mean);
        j.WriteNumber("sd", v.Sd);
        j.WriteNumber("low90", v.Low90);
        j.WriteNumber("high90", v.High90);
        j.WriteEndObject();
    }

    /// <summary>A square matrix, row by row.</summary>
    internal static void Covariance(Utf8JsonWriter j, string name, IReadOnlyList<double> c)
    {
        int n = (int)Math.Sqrt(c.Count);
        j.WriteStartArray(name);
        for (int i = 0; i < n; i++)
        {
            j.WriteStartArray();
            for (int k = 0; k < n; k++)
            {
                j.WriteNumberValue(c[i * n + k]);
            }

            j.WriteEndArray();
        }

        j.WriteEndArray();
    }

    private double Number((int Line, string[] Cells) row, string name) =>
        Cell(row, name) is { } cell
            ? double.TryParse(cell, NumberStyles.Float, CultureInfo.InvariantCulture, out double v) && double.IsFinite(v)
                ? v
                : throw new CliException(ExitCode.Data, string.Create(CultureInfo.InvariantCulture, $"{_path}:{row.Line}: '{cell}' under {name} is no number. Write digits with a point, such as 412.5."))
            : throw new CliException(ExitCode.Data, string.Create(CultureInfo.InvariantCulture, $"{_path}:{row.Line}: {name} is missing. This table needs a value in every column it names, {name} among them."));

    private double Optional((int Line, string[] Cells) row, string name, double otherwise) => Cell(row, name) is null ? otherwise : Number(row, name);

    /// <summary>Seconds as a number or as minutes and seconds.</summary>
    private double Seconds((int Line, string[] Cells) row, string name)
    {
        if (Cell(row, name) is { } cell && cell.Contains(':', StringComparison.Ordinal))
        {
            string[] parts = cell.Split(':');
            return parts.Length == 2 && int.TryParse(parts[0], NumberStyles.None, CultureInfo.InvariantCulture, out int m)
                && double.TryParse(parts[1], NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double s) && s < 60
                ? m * 60 + s
                : throw new CliException(ExitCode.Data, string.Create(CultureInfo.InvariantCulture, $"{_path}:{row.Line}: '{cell}' under {name} is no time. Write 3:05.2 or 185.2."));
        }

        return Number(row, name);
    }

    private string? Cell((int Line, string[] Cells) row, string name)
    {
        int i = Array.IndexOf(_head, name);
        return i < 0 || i >= row.Cells.Length || row.Cells[i].Length == 0 ? null : row.Cells[i];
    }
}
