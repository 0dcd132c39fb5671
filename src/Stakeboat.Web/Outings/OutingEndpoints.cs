using System.Globalization;
using Microsoft.AspNetCore.Http.HttpResults;
using Stakeboat.Exchange;
using Stakeboat.Exchange.Corrections;
using Stakeboat.Exchange.Debriefs;
using Stakeboat.Storage;
using Stakeboat.Web.Analysis;
using Stakeboat.Web.Safety;

namespace Stakeboat.Web.Outings;

/// <param name="Seen">Revision that the page showed.</param>
/// <param name="Key">Chosen by the page, so that a request sent twice counts once.</param>
public sealed record CorrectRequest(System.Text.Json.JsonElement Correction, int? Seen, string Key);

public sealed record StepRequest(int? Seen);

public sealed record NextPlanRequest(string Form, string Text, string Source, string Key);

/// <summary>What a page needs to know besides the document.</summary>
/// <param name="Fresh">The analysis answers the present revision.</param>
public sealed record StateAnswer(
    int Revision, int? Analysis, bool Fresh, string? JobState, double Progress, string? Message, string? Undo, string? Redo, string? Changed);

/// <summary>The race page's talk with the server.</summary>
public static class OutingEndpoints
{
    private static readonly TimeSpan s_patience = TimeSpan.FromSeconds(20);

    public static void MapOutings(this IEndpointRouteBuilder routes)
    {
        var group = routes.MapGroup("/outings/{id}");
        group.MapGet("/debrief", DebriefAsync);
        group.MapGet("/state", StateAsync);
        group.MapGet("/parts", PartsAsync);
        group.MapPost("/corrections", CorrectAsync).NeedsToken();
        group.MapPost("/undo", (string id, StepRequest r, Store s, AnalysisQueue q, CancellationToken c) => StepAsync(id, true, r, s, q, c)).NeedsToken();
        group.MapPost("/redo", (string id, StepRequest r, Store s, AnalysisQueue q, CancellationToken c) => StepAsync(id, false, r, s, q, c)).NeedsToken();
        group.MapPost("/cancel", CancelAsync).NeedsToken();
        group.MapPost("/again", AgainAsync).NeedsToken();
        group.MapPost("/next-plan", NextPlanAsync).NeedsToken();
        group.MapPost("/change", ChangeAsync).NeedsToken();
        group.MapPost("/delete", DeleteAsync).NeedsToken();
    }

    private static async Task<IResult> DebriefAsync(string id, int? analysis, Store store, CancellationToken cancel) =>
        await store.AnalysisAsync(id, analysis, cancel).ConfigureAwait(false) is { } a
            ? Results.Bytes(a.Json, "application/json") : Results.Text("There is no debrief yet.", statusCode: 404);

    private static async Task<IResult> StateAsync(string id, Store store, CancellationToken cancel) =>
        await store.OutingAsync(id, cancel).ConfigureAwait(false) is null
            ? Results.Text("There is no such outing; it may have been deleted in another window.", statusCode: 404)
            : Results.Json(await StateOfAsync(id, store, null, cancel).ConfigureAwait(false));

    /// <summary>The written parts of the race page (findings, talk, tables) as the server renders them, for a page that stays.</summary>
    private static async Task<IResult> PartsAsync(string id, Store store, CancellationToken cancel) =>
        await store.AnalysisAsync(id, cancel: cancel).ConfigureAwait(false) is { } a
            ? new RazorComponentResult<Pages.RaceParts>(new { Document = DebriefJson.Read(a.Json), Id = id })
            : Results.Text("There is no debrief yet.", statusCode: 404);

    private static async Task<StateAnswer> StateOfAsync(string id, Store store, string? changed, CancellationToken cancel)
    {
        // The job first: one that is told to be done has its analysis in what is read after it.
        var job = await store.LatestJobAsync(id, cancel).ConfigureAwait(false);
        var outing = await store.OutingAsync(id, cancel).ConfigureAwait(false);
        var analysis = await store.AnalysisAsync(id, cancel: cancel).ConfigureAwait(false);
        var corrections = await store.CorrectionsAsync(id, cancel).ConfigureAwait(false);
        var last = corrections.LastOrDefault(c => !c.Undone);
        var next = corrections.FirstOrDefault(c => c.Undone && !c.Abandoned && c.Number > (last?.Number ?? 0));
        return new StateAnswer(
            outing?.Revision ?? 0, analysis?.Number, analysis is not null && analysis.Revision == outing?.Revision,
            job?.State, job?.Progress ?? 0, job?.Message, last?.Said, next?.Said, changed);
    }

    private static async Task<IResult> CorrectAsync(string id, CorrectRequest request, Store store, AnalysisQueue queue, CancellationToken cancel)
    {
        if (request.Key is not { Length: >= 8 and <= 64 })
        {
            return Results.Text("The page sent no key of its own.", statusCode: 400);
        }

        var correction = CorrectionJson.Read(request.Correction.GetRawText());
        CorrectionCheck.Demand(correction);
        string body = CorrectionJson.Write(correction);
        string said = CorrectionWords.Of(correction);
        var before = await store.AnalysisAsync(id, cancel: cancel).ConfigureAwait(false);
        await store.CorrectAsync(id, correction.Kind, body, said, request.Key, request.Seen, cancel).ConfigureAwait(false);
        return await AnsweredAsync(id, said, before, store, queue, cancel).ConfigureAwait(false);
    }

    private static async Task<IResult> StepAsync(string id, bool back, StepRequest request, Store store, AnalysisQueue queue, CancellationToken cancel)
    {
        var before = await store.AnalysisAsync(id, cancel: cancel).ConfigureAwait(false);
        var row = await store.StepAsync(id, back, request.Seen, cancel).ConfigureAwait(false);
        return row is null
            ? Results.Text(back ? "There is nothing to undo." : "There is nothing to redo.", statusCode: 409)
            : await AnsweredAsync(id, (back ? "Undone: " : "Again: ") + row.Said, before, store, queue, cancel).ConfigureAwait(false);
    }

    /// <summary>Waits for the new analysis and says what it changed.</summary>
    private static async Task<IResult> AnsweredAsync(string id, string said, StoredAnalysis? before, Store store, AnalysisQueue queue, CancellationToken cancel)
    {
        int revision = (await store.OutingAsync(id, cancel).ConfigureAwait(false))?.Revision ?? 0;
        bool done = await queue.WaitAsync(id, revision, s_patience, cancel).ConfigureAwait(false);
        string changed = said;
        if (done && before is not null && await store.AnalysisAsync(id, cancel: cancel).ConfigureAwait(false) is { } after)
        {
            changed = said + " " + WhatChanged.Between(DebriefJson.Read(before.Json), DebriefJson.Read(after.Json));
        }

        return Results.Json(await StateOfAsync(id, store, changed, cancel).ConfigureAwait(false));
    }

    private static async Task<IResult> CancelAsync(string id, Store store, CancellationToken cancel)
    {
        if (await store.LatestJobAsync(id, cancel).ConfigureAwait(false) is { } job)
        {
            await store.CancelJobAsync(job.Id, cancel).ConfigureAwait(false);
        }

        return Results.Json(await StateOfAsync(id, store, null, cancel).ConfigureAwait(false));
    }

    private static async Task<IResult> AgainAsync(string id, HttpContext context, Store store, AnalysisQueue queue, CancellationToken cancel)
    {
        await store.EnqueueAsync(id, cancel).ConfigureAwait(false);
        queue.Ring();
        return context.Request.HasFormContentType ? Results.Redirect("/outings/" + id) : Results.Json(await StateOfAsync(id, store, null, cancel).ConfigureAwait(false));
    }

    private static async Task<IResult> NextPlanAsync(string id, NextPlanRequest request, Store store, CancellationToken cancel)
    {
        if (request.Form is not ("note" or "cue") || string.IsNullOrWhiteSpace(request.Text) || request.Text.Length > 500
            || request.Source is not { Length: <= 1000 } || request.Key is not { Length: >= 8 and <= 64 })
        {
            return Results.Text("A note or a cue for the next plan has between 1 and 500 characters.", statusCode: 422);
        }

        var row = await store.SendToNextPlanAsync(id, request.Form, request.Text.Trim(), request.Source, request.Key, cancel).ConfigureAwait(false);
        return Results.Json(new { row.Id, row.Form, row.Text });
    }

    private static async Task<IResult> ChangeAsync(string id, HttpContext context, Store store, AnalysisQueue queue, CancellationToken cancel)
    {
        var form = await context.Request.ReadFormAsync(cancel).ConfigureAwait(false);
        string? day = form["day"];
        if (!string.IsNullOrEmpty(day) && !DateOnly.TryParseExact(day, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out _))
        {
            return Results.Text("The day is written as year-month-day.", statusCode: 422);
        }

        await store.ChangeOutingAsync(id, o =>
        {
            o.Name = form.TryGetValue("name", out var name) && !string.IsNullOrWhiteSpace(name) ? name.ToString() : o.Name;
            o.Day = form.ContainsKey("day") ? (string.IsNullOrEmpty(day) ? null : day) : o.Day;
            o.Archived = form.TryGetValue("archived", out var archived) ? archived == "yes" : o.Archived;
        }, cancel).ConfigureAwait(false);
        if (form.ContainsKey("crew") || form.ContainsKey("course"))
        {
            static string? Chosen(Microsoft.Extensions.Primitives.StringValues v) => string.IsNullOrEmpty(v) ? null : v.ToString();
            var now = await store.OutingAsync(id, cancel).ConfigureAwait(false);
            string? crew = form.TryGetValue("crew", out var c) ? Chosen(c) : now?.CrewId, course = form.TryGetValue("course", out var w) ? Chosen(w) : now?.CourseId;
            if (await store.AssignAsync(id, crew, course, cancel).ConfigureAwait(false))
            {
                queue.Ring();
            }
        }

        return Results.Redirect(form["back"] == "season" ? "/season" : "/outings/" + id);
    }

    private static async Task<IResult> DeleteAsync(string id, HttpContext context, Store store, Words.WordsDesk desk, CancellationToken cancel)
    {
        var form = await context.Request.ReadFormAsync(cancel).ConfigureAwait(false);
        if (form["sure"] != "yes")
        {
            return Results.Text("Tick the box that says you mean it; nothing was deleted.", statusCode: 422);
        }

        await store.DeleteOutingAsync(id, cancel).ConfigureAwait(false);
        desk.Forget(id);
        return Results.Redirect("/season");
    }
}
