using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Stakeboat.Core.Energetics;
using Stakeboat.Core.Pacing;
using Stakeboat.Core.Plans;
using Stakeboat.Reports;

namespace Stakeboat.Cli;

/// <summary><c>plan check|price|card FILE</c>: reads a race plan as it is written.</summary>
internal static class PlanVerb
{
    public static Command Create() => new("plan", "A race plan from its text: check it, price it, print it.") { Check(), Price(), Card() };

    private static Command Check()
    {
        var file = new Argument<string>("FILE") { Description = "A plan as text; see docs/plans/text.md." };
        var json = new Option<bool>("--json") { Description = "Issues, segments and cues with metres, strokes and seconds." };
        var winds = new Option<string[]>("--wind") { Description = "The same plan in this wind beside it, as in a plan's head; may be given again: --wind 'head 4 m/s' --wind 'tail 4 m/s'." };
        var text = new Option<bool>("--text") { Description = "Write the plan back as text in the language's own words." };
        var command = new Command("check", "Compile the plan to metres, strokes and seconds, and name what contradicts itself.") { file, json, winds, text };
        command.SetAction(parsed =>
        {
            var output = parsed.InvocationConfiguration.Output;
            string path = parsed.GetValue(file)!;
            var sheet = PlanText.Parse(Read(path));
            bool good = true;
            var results = sheet.Variants.Select(v => PlanCompiler.Compile(sheet, v.Name)).DefaultIfEmpty(PlanCompiler.Compile(sheet)).ToArray();
            var beside = Beside(sheet, parsed.GetValue(winds) ?? []);
            if (parsed.GetValue(json))
            {
                WriteJson(output, results, beside);
                return results.All(r => r.Plan is not null) ? ExitCode.Done : ExitCode.Data;
            }

            var said = new HashSet<string>(StringComparer.Ordinal);
            foreach (var result in results)
            {
                foreach (var i in result.Issues)
                {
                    string line = string.Create(CultureInfo.InvariantCulture, $"{Place(path, i)}: {(i.Severity == PlanSeverity.Remark ? "remark: " : "")}{i.Sentence}");
                    if (said.Add(line))
                    {
                        // What is written back stays a plan: remarks go into it as notes.
                        output.WriteLine(parsed.GetValue(text) && i.Severity == PlanSeverity.Remark ? "# " + line : line);
                    }
                }

                good &= result.Plan is not null;
                if (result.Plan is { } plan && !parsed.GetValue(text))
                {
                    WriteText(output, plan);
                }
            }

            WriteBeside(output, beside);
            if (good && parsed.GetValue(text))
            {
                output.Write(PlanWriter.Write(sheet));
            }

            return good ? ExitCode.Done : ExitCode.Data;
        });
        return command;
    }

    private static List<CompiledPlan> Beside(PlanSheet sheet, string[] winds)
    {
        var list = new List<CompiledPlan>();
        foreach (var variant in sheet.Variants)
        {
            foreach (string words in winds)
            {
                var (wind, wrong) = PlanText.Wind(words);
                if (wind is null)
                {
                    throw new CliException(ExitCode.Usage, $"--wind '{words}': {wrong}");
                }

                if (wind.FromDegrees is not null && variant.Head.Headings.Count == 0)
                {
                    throw new CliException(ExitCode.Usage, $"--wind '{words}' says nothing until the course's bearing is known: write 'heading 240' into the plan, from start to finish.");
                }

                if (wind.FromDegrees is null && wind.SpeedMps > 0 && variant.Head.Headings.Count > 1)
                {
                    throw new CliException(ExitCode.Usage, $"--wind '{words}': this course bends; say where the wind blows from, such as 'from 240 at 4 m/s'.");
                }

                if (PlanCompiler.Compile(sheet, variant.Name).Plan is not null && PlanCompiler.Compile(sheet, variant.Name, PlanPricing.Other(words, variant, wind)).Plan is { } plan)
                {
                    list.Add(plan);
                }
            }
        }

        return list;
    }

    private static void WriteBeside(TextWriter output, List<CompiledPlan> beside)
    {
        if (beside.Count == 0)
        {
            return;
        }

        output.WriteLine();
        output.WriteLine("In other winds          plan   finish  strokes   base pace   strokes for the last 250 m   quarters");
        foreach (var p in beside)
        {
            double last = p.Finish.Strokes - p.At(p.Distance - Core.Units.Distance.FromMetres(Math.Min(250, p.Distance.Metres))).Strokes;
            output.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"{p.Assumptions.Conditions,-24}{p.Variant,-4}{PlanPaperText.Clock(p.Finish.Time.Seconds),9}{p.Finish.Strokes,9:0}{PlanPaperText.Clock(p.Assumptions.BasePace.SecondsPer500),12}{last,29:0}   {string.Join(" ", p.Quarters().Select(q => PlanPaperText.Clock(q.Seconds)))}"));
        }
    }

    private static Command Price()
    {
        var files = new Argument<string[]>("FILE") { Description = "A plan as text; further files are rivals' plans as you suppose them, laid beside it.", Arity = ArgumentArity.OneOrMore };
        var json = new Option<bool>("--json") { Description = "For machines." };
        var cp = new Option<double?>("--cp") { Description = "Critical power of the mean rower in the boat, W; else what the plan's head says." };
        var store = new Option<double?>("--w") { Description = "W' of the mean rower, kJ." };
        var variant = new Option<string?>("--plan") { Description = "A, B or C of the first file; the first where not said." };
        var answer = new Option<double?>("--answer-at") { Description = "Metres at which a rival is supposed to move, for the price of answers; half way where not said." };
        var command = new Command("price", "What the plan costs in seconds, what is left along the way, and the odds of running out.") { files, json, cp, store, variant, answer };
        command.SetAction(parsed =>
        {
            var output = parsed.InvocationConfiguration.Output;
            string[] paths = parsed.GetValue(files)!;
            var sheet = PlanText.Parse(Read(paths[0]));
            var plan = Compile(paths[0], sheet, parsed.GetValue(variant));
            double? watts = parsed.GetValue(cp), kilojoules = parsed.GetValue(store);
            if (watts is null != kilojoules is null || watts is <= 0 or > 1500 || kilojoules is <= 0 or > 60)
            {
                throw new CliException(ExitCode.Usage, "Give both --cp (W, up to 1500) and --w (kJ, up to 60) of the mean rower, or neither.");
            }

            CrewEnergy? crew = watts is { } w ? new CrewEnergy(new CriticalPower(w, kilojoules!.Value * 1000), 2.2 * w) : null;
            var priced = PlanPricing.Price(sheet.Find(parsed.GetValue(variant))!, plan, crew);
            var answers = PlanAnswers.Of(sheet, priced, parsed.GetValue(answer));
            var rivals = paths.Skip(1).Select(p => (Path.GetFileNameWithoutExtension(p), Compile(p, PlanText.Parse(Read(p)), null))).ToArray();
            if (parsed.GetValue(json))
            {
                PlanPriceOutput.Json(output, priced, answers, rivals);
            }
            else
            {
                PlanPriceOutput.Text(output, priced, answers, rivals);
            }

            return ExitCode.Done;
        });
        return command;
    }

    private static Command Card()
    {
        var file = new Argument<string>("FILE") { Description = "A plan as text." };
        var to = new Option<string>("-o") { Description = "The file to write: .pdf, or .html for a page to print.", Required = true };
        var sheetOption = new Option<bool>("--sheet") { Description = "The A4 sheet for the crew instead of the card." };
        var variant = new Option<string?>("--plan") { Description = "A, B or C; the first where not said." };
        var date = new Option<string?>("--date") { Description = "The day to print on it; today where not said." };
        var json = new Option<bool>("--json") { Description = "Say what was written, for machines." };
        var command = new Command("card", "Print the deck card (A6) with its strip for the gunwale, or the crew's sheet (A4), as PDF.") { file, to, sheetOption, variant, date, json };
        command.SetAction(parsed =>
        {
            string path = parsed.GetValue(file)!, target = parsed.GetValue(to)!;
            var plan = Compile(path, PlanText.Parse(Read(path)), parsed.GetValue(variant));
            string day = parsed.GetValue(date) ?? DateTime.Today.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
            using var memory = new MemoryStream();
            string ending = Path.GetExtension(target).ToLowerInvariant();
            if (ending is ".html" or ".htm")
            {
                memory.Write(System.Text.Encoding.UTF8.GetBytes(PlanHtml.Page(plan, day, parsed.GetValue(sheetOption) ? PlanPapers.CrewSheet : PlanPapers.All)));
            }
            else if (ending != ".pdf")
            {
                throw new CliException(ExitCode.Usage, $"-o {target}: a card is written as .pdf, or as .html to print from a browser.");
            }
            else if (parsed.GetValue(sheetOption))
            {
                PlanPaper.CrewSheet(plan, day, memory);
            }
            else
            {
                PlanPaper.DeckCard(plan, day, memory);
            }

            try
            {
                File.WriteAllBytes(target, memory.ToArray());
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                throw CliException.CannotWrite(target, e.Message);
            }

            var output = parsed.InvocationConfiguration.Output;
            if (parsed.GetValue(json))
            {
                using var stream = new OutputStream(output);
        using var j = new Utf8JsonWriter(stream);
                j.WriteStartObject();
                j.WriteString("file", target);
                j.WriteNumber("bytes", memory.Length);
                j.WriteEndObject();
            }
            else
            {
                output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{target}: {memory.Length} bytes."));
            }

            return ExitCode.Done;
        });
        return command;
    }

    /// <summary>File and line; the file alone where the plan as a whole is meant.</summary>
    private static string Place(string path, PlanIssue issue) => issue.Line > 0 ? string.Create(CultureInfo.InvariantCulture, $"{path}:{issue.Line}") : path;

    private static string Read(string path)
    {
        if (Directory.Exists(path))
        {
            throw new CliException(ExitCode.Data, $"{path} is a folder. Give the file that the plan is written in.");
        }

        if (!File.Exists(path))
        {
            throw CliException.NotFound(path);
        }

        return File.ReadAllText(path);
    }

    private static CompiledPlan Compile(string path, PlanSheet sheet, string? variant)
    {
        var result = PlanCompiler.Compile(sheet, variant);
        return result.Plan ?? throw new CliException(ExitCode.Data, string.Join(Environment.NewLine, result.Issues
            .Where(i => i.Severity == PlanSeverity.Error)
            .Select(i => $"{Place(path, i)}: {i.Sentence}")));
    }

    private static void WriteText(TextWriter output, CompiledPlan p)
    {
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Plan {p.Variant}: {p.Distance.Metres:0} m in {PlanPaperText.Clock(p.Finish.Time.Seconds)}, {p.Finish.Strokes:0} strokes."));
        output.WriteLine("                        from m  stroke    time    rate     pace  strokes");
        foreach (var s in p.Segments)
        {
            string rate = s.RateFrom.PerMinute == s.RateTo.PerMinute ? PlanPaperText.Rate(s.RateTo.PerMinute) : $"{PlanPaperText.Rate(s.RateFrom.PerMinute)}-{PlanPaperText.Rate(s.RateTo.PerMinute)}";
            output.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"{s.Name,-22}{s.From.Distance.Metres,8:0}{s.From.StrokeNumber,8}{PlanPaperText.Clock(s.From.Time.Seconds),8}{rate,8}{PlanPaperText.Clock(s.Pace.SecondsPer500),9}{s.Strokes,9:0}"));
        }

        foreach (var c in p.Cues)
        {
            output.WriteLine(c.From is { } f
                ? string.Create(CultureInfo.InvariantCulture, $"{c.TriggerText,-22}{f.Distance.Metres,8:0}{f.StrokeNumber,8}{PlanPaperText.Clock(f.Time.Seconds),8}  {c.ActionText}")
                : string.Create(CultureInfo.InvariantCulture, $"{c.TriggerText,-46}  {c.ActionText}"));
        }
    }

    private static void WriteJson(TextWriter output, IReadOnlyList<PlanResult> results, List<CompiledPlan> beside)
    {
        using var stream = new OutputStream(output);
        using var j = new Utf8JsonWriter(stream, new JsonWriterOptions { Indented = true });
        j.WriteStartObject();
        j.WriteStartArray("plans");
        foreach (var r in results)
        {
            j.WriteStartObject();
            j.WriteStartArray("issues");
            foreach (var i in r.Issues)
            {
                j.WriteStartObject();
                j.WriteNumber("line", i.Line);
                j.WriteNumber("column", i.Column);
                j.WriteString("severity", i.Severity == PlanSeverity.Error ? "error" : "remark");
                j.WriteString("code", i.Code);
                j.WriteString("sentence", i.Sentence);
                j.WriteEndObject();
            }

            j.WriteEndArray();
            if (r.Plan is { } p)
            {
                j.WriteString("plan", p.Variant);
                j.WriteNumber("metres", p.Distance.Metres);
                j.WriteNumber("seconds", Math.Round(p.Finish.Time.Seconds, 3));
                j.WriteNumber("strokes", Math.Round(p.Finish.Strokes, 3));
                j.WriteStartArray("segments");
                foreach (var s in p.Segments)
                {
                    j.WriteStartObject();
                    j.WriteNumber("line", s.Line);
                    j.WriteString("kind", s.Kind.ToString().ToLowerInvariant());
                    Span(j, s.From, s.To);
                    j.WriteNumber("rateFrom", s.RateFrom.PerMinute);
                    j.WriteNumber("rateTo", s.RateTo.PerMinute);
                    j.WriteNumber("pace", Math.Round(s.Pace.SecondsPer500, 3));
                    j.WriteString("purpose", s.Purpose);
                    j.WriteEndObject();
                }

                j.WriteEndArray();
                j.WriteStartArray("cues");
                foreach (var c in p.Cues)
                {
                    j.WriteStartObject();
                    j.WriteNumber("line", c.Line);
                    j.WriteString("kind", c.Kind.ToString().ToLowerInvariant());
                    j.WriteString("trigger", c.TriggerText);
                    j.WriteString("action", c.ActionText);
                    if (c.From is { } f)
                    {
                        Span(j, f, c.To ?? f);
                    }

                    if (c.InStrokes is { } n)
                    {
                        j.WriteNumber("inStrokes", n);
                    }

                    if (c.OverStrokes is { } o)
                    {
                        j.WriteNumber("overStrokes", o);
                    }

                    j.WriteString("purpose", c.Purpose);
                    j.WriteEndObject();
                }

                j.WriteEndArray();
            }

            j.WriteEndObject();
        }

        j.WriteEndArray();
        j.WriteStartArray("inOtherWinds");
        foreach (var p in beside)
        {
            j.WriteStartObject();
            j.WriteString("plan", p.Variant);
            j.WriteString("wind", p.Assumptions.Conditions);
            j.WriteNumber("seconds", Math.Round(p.Finish.Time.Seconds, 3));
            j.WriteNumber("strokes", Math.Round(p.Finish.Strokes, 3));
            j.WriteNumber("basePace", Math.Round(p.Assumptions.BasePace.SecondsPer500, 3));
            j.WriteEndObject();
        }

        j.WriteEndArray();
        j.WriteEndObject();
    }

    private static void Span(Utf8JsonWriter j, PlanPoint from, PlanPoint to)
    {
        j.WriteNumber("fromMetres", Math.Round(from.Distance.Metres, 2));
        j.WriteNumber("toMetres", Math.Round(to.Distance.Metres, 2));
        j.WriteNumber("fromStroke", Math.Round(from.Strokes, 3));
        j.WriteNumber("toStroke", Math.Round(to.Strokes, 3));
        j.WriteNumber("fromSeconds", Math.Round(from.Time.Seconds, 3));
        j.WriteNumber("toSeconds", Math.Round(to.Time.Seconds, 3));
    }
}

/// <summary>Lets a JSON writer write to the command's text output.</summary>
internal sealed class OutputStream(TextWriter output) : MemoryStream
{
    private bool _done;

    protected override void Dispose(bool disposing)
    {
        if (!_done)
        {
            _done = true;
            output.WriteLine(System.Text.Encoding.UTF8.GetString(ToArray()));
        }

        base.Dispose(disposing);
    }
}
