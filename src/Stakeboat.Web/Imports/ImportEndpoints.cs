using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.WebUtilities;
using Stakeboat.Storage;
using Stakeboat.Web.Analysis;
using Stakeboat.Web.Safety;

namespace Stakeboat.Web.Imports;

/// <param name="Crew">Whose race, by its identity in the boathouse.</param>
public sealed record BeginRequest(string? Name, string Key, string? Crew = null, string? Course = null);

public sealed record BeginAnswer(string Id, bool Ready);

/// <summary>
/// Files on their way in. A page begins, sends each file as the body of a request of its own (so that its progress can be shown and it can
/// be broken off), and finishes; only then does the outing show. A browser without scripts sends one form.
/// </summary>
public static class ImportEndpoints
{
    public static void MapImports(this IEndpointRouteBuilder routes)
    {
        var group = routes.MapGroup("/imports");
        group.MapPost("", BeginAsync).NeedsToken();
        group.MapPut("/{id}/files", PutFileAsync).NeedsToken();
        group.MapPost("/{id}/finish", FinishAsync).NeedsToken();
        group.MapDelete("/{id}", GiveUpAsync).NeedsToken();
        routes.MapPost("/imports/form", FormAsync).DisableAntiforgery();
    }

    private static async Task<IResult> BeginAsync(BeginRequest request, Store store, CancellationToken cancel)
    {
        if (request.Key is not { Length: >= 8 and <= 64 })
        {
            return Results.Text("The page sent no key of its own.", statusCode: 400);
        }

        var outing = await store.BeginOutingAsync(request.Name ?? "", "page-" + request.Key, cancel: cancel).ConfigureAwait(false);
        if (!outing.Ready && (!string.IsNullOrEmpty(request.Crew) || !string.IsNullOrEmpty(request.Course)))
        {
            await store.AssignAsync(
                outing.Id, string.IsNullOrEmpty(request.Crew) ? null : request.Crew, string.IsNullOrEmpty(request.Course) ? null : request.Course, cancel).ConfigureAwait(false);
        }

        return Results.Json(new BeginAnswer(outing.Id, outing.Ready));
    }

    private static async Task<IResult> PutFileAsync(string id, string name, HttpContext context, Store store, StartOptions options)
    {
        Unlimit(context, options);
        if (await store.OutingAsync(id, context.RequestAborted).ConfigureAwait(false) is not { } outing)
        {
            return Results.Text("This import is no longer there.", statusCode: 404);
        }

        var row = await store.AddFileAsync(id, name, context.Request.Body, options.UploadLimit, context.RequestAborted).ConfigureAwait(false);
        if (outing.Ready)
        {
            await store.EnqueueAsync(id, context.RequestAborted).ConfigureAwait(false);
            context.RequestServices.GetRequiredService<AnalysisQueue>().Ring();
        }

        return Results.Json(new { row.Id, row.Name, row.Size });
    }

    private static async Task<IResult> FinishAsync(string id, HttpContext context, Store store, AnalysisQueue queue)
    {
        if ((await store.FilesAsync(id, context.RequestAborted).ConfigureAwait(false)).Count == 0)
        {
            return Results.Text("No file has arrived. Drop the files of one race: captions, track, motion log, recording, result, plan.", statusCode: 422);
        }

        var job = await store.FinishOutingAsync(id, cancel: context.RequestAborted).ConfigureAwait(false);
        queue.Ring();
        return Results.Json(new { Id = id, Job = job?.Id });
    }

    private static async Task<IResult> GiveUpAsync(string id, Store store, CancellationToken cancel)
    {
        if (await store.OutingAsync(id, cancel).ConfigureAwait(false) is { Ready: false })
        {
            await store.DeleteOutingAsync(id, cancel).ConfigureAwait(false);
        }

        return Results.NoContent();
    }

    /// <summary>The whole import as one form, streamed: the token and key come first, then the files.</summary>
    private static async Task<IResult> FormAsync(HttpContext context, Store store, StartOptions options, AnalysisQueue queue, FormToken token)
    {
        Unlimit(context, options);
        string? boundary = Microsoft.Net.Http.Headers.MediaTypeHeaderValue.TryParse(context.Request.ContentType, out var type)
            ? Microsoft.Net.Http.Headers.HeaderUtilities.RemoveQuotes(type.Boundary).Value : null;
        if (string.IsNullOrEmpty(boundary) || boundary.Length > 200)
        {
            return Results.Text("The form could not be understood.", statusCode: 400);
        }

        var reader = new MultipartReader(boundary, context.Request.Body);
        string? key = null, outingId = null, named = null, crew = null, course = null;
        bool trusted = false;
        while (await reader.ReadNextSectionAsync(context.RequestAborted).ConfigureAwait(false) is { } section)
        {
            if (section.AsFileSection() is { } file)
            {
                if (!trusted || key is null)
                {
                    return Results.Text("This form is out of date. Load the page again and repeat what you did; nothing was changed.", statusCode: 400);
                }

                if (file.FileName.Length == 0 || file.FileStream is null)
                {
                    continue;
                }

                if (outingId is null)
                {
                    outingId = (await store.BeginOutingAsync(named ?? "", "form-" + key, cancel: context.RequestAborted).ConfigureAwait(false)).Id;
                    if (crew is not null || course is not null)
                    {
                        await store.AssignAsync(outingId, crew, course, context.RequestAborted).ConfigureAwait(false);
                    }
                }

                await store.AddFileAsync(outingId, file.FileName, file.FileStream, options.UploadLimit, context.RequestAborted).ConfigureAwait(false);
            }
            else if (section.AsFormDataSection() is { } field)
            {
                string value = await field.GetValueAsync(context.RequestAborted).ConfigureAwait(false);
                switch (field.Name)
                {
                    case RequestSafety.TokenField: trusted = await token.HoldsAsync(context, value).ConfigureAwait(false); break;
                    case "key" when value.Length is >= 8 and <= 64: key = value; break;
                    case "name": named = value; break;
                    case "crew" when value.Length is > 0 and <= 64: crew = value; break;
                    case "course" when value.Length is > 0 and <= 64: course = value; break;
                }
            }
        }

        if (outingId is null)
        {
            return Results.Redirect("/new?nothing=1");
        }

        await store.FinishOutingAsync(outingId, cancel: context.RequestAborted).ConfigureAwait(false);
        queue.Ring();
        return Results.Redirect("/outings/" + outingId);
    }

    private static void Unlimit(HttpContext context, StartOptions options)
    {
        if (context.Features.Get<IHttpMaxRequestBodySizeFeature>() is { IsReadOnly: false } size)
        {
            size.MaxRequestBodySize = options.UploadLimit + 1_000_000;
        }
    }
}
