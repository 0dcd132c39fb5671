using System.Globalization;
using Microsoft.AspNetCore.Http.HttpResults;
using Stakeboat.Core.Plans;
using Stakeboat.Reports;
using Stakeboat.Ui.Plan;

namespace Stakeboat.Web.Plans;

/// <summary>What the plan's page asks for while one types, and its papers. Nothing is kept.</summary>
public static class PlanEndpoints
{
    /// <summary>Longest plan that a page works out, letters.</summary>
    public const int Longest = 6000;

    public static void MapPlans(this IEndpointRouteBuilder app)
    {
        app.MapPost("/plan/look", async (HttpRequest request, CancellationToken cancel) =>
        {
            using var reader = new StreamReader(request.Body);
            string text = await reader.ReadToEndAsync(cancel).ConfigureAwait(false);
            return text.Length > Longest
                ? Results.Text("A plan fits on a page: this text is too long.", statusCode: 413)
                : new RazorComponentResult<PlanSheetView>(new { Text = text });
        });
        app.MapGet("/plan/card.pdf", (string text, TimeProvider clock) => Paper(text, clock, PlanPaper.DeckCard));
        app.MapGet("/plan/sheet.pdf", (string text, TimeProvider clock) => Paper(text, clock, PlanPaper.CrewSheet));
    }

    private static IResult Paper(string text, TimeProvider clock, Action<CompiledPlan, string, Stream> write)
    {
        var result = PlanCompiler.Compile(text.Length > Longest ? "" : text);
        if (result.Plan is not { } plan)
        {
            return Results.Text(string.Join('\n', result.Issues.Where(i => i.Severity == PlanSeverity.Error)
                .Select(i => string.Create(CultureInfo.InvariantCulture, $"line {i.Line}: {i.Sentence}"))), statusCode: 422);
        }

        using var memory = new MemoryStream();
        write(plan, clock.GetLocalNow().ToString("yyyy-MM-dd", CultureInfo.InvariantCulture), memory);
        return Results.File(memory.ToArray(), "application/pdf", "plan.pdf");
    }
}
