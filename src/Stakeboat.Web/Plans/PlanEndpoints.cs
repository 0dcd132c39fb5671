using System.Globalization;
using Microsoft.AspNetCore.Http.HttpResults;
using Stakeboat.Core.Debrief.CrewsOwn;
using Stakeboat.Core.Plans;
using Stakeboat.Reports;
using Stakeboat.Ui.Plan;

namespace Stakeboat.Web.Plans;

/// <summary>What the plan's page asks for while one types, and its papers. Nothing is kept.</summary>
public static class PlanEndpoints
{
    /// <summary>Longest plan that a page works out, letters.</summary>
    public const int Longest = 6000;

    private const string TooLong = "A plan fits on a page: this text is too long.";

    public static void MapPlans(this IEndpointRouteBuilder app)
    {
        app.MapPost("/plan/look", async (HttpRequest request, CancellationToken cancel) =>
        {
            var form = await request.ReadFormAsync(cancel).ConfigureAwait(false);
            string text = form["text"].ToString();
            string[] beside = [.. form["beside"].OfType<string>().Take(PlanSheetView.MostBeside)];
            return text.Length > Longest || beside.Any(b => b.Length > Longest)
                ? Results.Text(TooLong, statusCode: 413)
                : new RazorComponentResult<PlanSheetView>(new { Text = text, Beside = beside });
        });
        app.MapPost("/plan/crew", async (HttpRequest request, CrewFromOutings crew, CancellationToken cancel) =>
        {
            var form = await request.ReadFormAsync(cancel).ConfigureAwait(false);
            string text = form["text"].ToString();
            if (text.Length > Longest)
            {
                return Results.Text(TooLong, statusCode: 413);
            }

            double? Number(string key, double low, double high) =>
                double.TryParse(form[key].ToString(), NumberStyles.Float, CultureInfo.InvariantCulture, out double v) && v >= low && v <= high ? v : null;
            bool bank = form.ContainsKey("bank");
            var outings = form["outing"].OfType<string>().Distinct(StringComparer.Ordinal)
                .Select(id => (id, new OutingWeather(Number("wind-" + id, 0, 20), Number("from-" + id, 0, 360), bank, Number("water", -2, 40) ?? 20, Number("air", -40, 55) ?? 20))).ToArray();
            var (fit, rate, wrong) = await crew.FitAsync(outings, text, cancel).ConfigureAwait(false);
            return new RazorComponentResult<CrewLook>(new { Fit = fit, Rate = rate, Wrong = wrong });
        });
        app.MapPost("/plan/card.pdf", (HttpRequest request, TimeProvider clock, CancellationToken cancel) => PaperAsync(request, clock, PlanPaper.DeckCard, cancel));
        app.MapPost("/plan/sheet.pdf", (HttpRequest request, TimeProvider clock, CancellationToken cancel) => PaperAsync(request, clock, PlanPaper.CrewSheet, cancel));
        app.MapPost("/plan/print", async (HttpRequest request, TimeProvider clock, CancellationToken cancel) =>
        {
            var (plan, wrong) = await CompileAsync(request, cancel).ConfigureAwait(false);
            if (plan is null)
            {
                return wrong!;
            }

            // The page carries its own style and fonts and loads nothing.
            request.HttpContext.Response.Headers.ContentSecurityPolicy = "default-src 'none'; style-src 'unsafe-inline'; font-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
            return Results.Text(PlanHtml.Page(plan, Day(clock)), "text/html", System.Text.Encoding.UTF8);
        });
    }

    private static string Day(TimeProvider clock) => clock.GetLocalNow().ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    private static async Task<IResult> PaperAsync(HttpRequest request, TimeProvider clock, Action<CompiledPlan, string, Stream> write, CancellationToken cancel)
    {
        var (plan, wrong) = await CompileAsync(request, cancel).ConfigureAwait(false);
        if (plan is null)
        {
            return wrong!;
        }

        using var memory = new MemoryStream();
        write(plan, Day(clock), memory);
        return Results.File(memory.ToArray(), "application/pdf", "plan.pdf");
    }

    private static async Task<(CompiledPlan? Plan, IResult? Wrong)> CompileAsync(HttpRequest request, CancellationToken cancel)
    {
        var form = await request.ReadFormAsync(cancel).ConfigureAwait(false);
        string text = form["text"].ToString();
        if (text.Length > Longest)
        {
            return (null, Results.Text(TooLong, statusCode: 413));
        }

        var result = PlanCompiler.Compile(text);
        return result.Plan is { } plan
            ? (plan, null)
            : (null, Results.Text("This plan cannot be printed yet.\n" + string.Join('\n', result.Issues.Where(i => i.Severity == PlanSeverity.Error)
                .Select(i => string.Create(CultureInfo.InvariantCulture, $"line {i.Line}: {i.Sentence}"))), statusCode: 422));
    }
}
