using Stakeboat.Storage;
using Stakeboat.Web.Safety;
using Stakeboat.Words.Recognisers;

namespace Stakeboat.Web.Words;

/// <param name="Recogniser">Name of a recogniser; absent: the first that is ready.</param>
public sealed record BeginWordsRequest(string? Recogniser);

/// <param name="T">Start on the recording's clock, s.</param>
/// <param name="P">Recogniser's probability; absent where it gives none.</param>
/// <param name="Others">What else it may have been.</param>
public sealed record WordAnswer(double T, double To, string W, double? P, IReadOnlyList<string> Others);

/// <summary>The words page's talk with the server.</summary>
public static class WordsEndpoints
{
    public static void MapWords(this IEndpointRouteBuilder routes)
    {
        var group = routes.MapGroup("/outings/{id}/words");
        group.MapGet("/state", (string id, int? seen, WordsDesk desk) => Results.Json(Answer(desk, id, seen ?? 0)));
        group.MapPost("/begin", BeginAsync).NeedsToken();
        group.MapPost("/stop", (string id, WordsDesk desk) =>
        {
            desk.Stop(id);
            return Results.Json(Answer(desk, id, int.MaxValue));
        }).NeedsToken();
    }

    private static async Task<IResult> BeginAsync(string id, BeginWordsRequest request, Store store, WordsDesk desk, CancellationToken cancel)
    {
        if (await store.OutingAsync(id, cancel).ConfigureAwait(false) is null)
        {
            return Results.Text("There is no such outing; it may have been deleted in another window.", statusCode: 404);
        }

        try
        {
            desk.Begin(id, request.Recogniser);
            return Results.Json(Answer(desk, id, int.MaxValue));
        }
        catch (RecogniserException e)
        {
            return Results.Text(e.Message, statusCode: 422);
        }
    }

    private static object Answer(WordsDesk desk, string id, int seen)
    {
        var (state, newer, count) = desk.Look(id, seen);
        return new
        {
            state.State, state.Done, state.Stage, state.Message, state.Recogniser, Count = count,
            Words = newer.Select(w => new WordAnswer(w.Start, w.End, w.Text, w.Probability, [.. (w.Alternatives ?? []).Select(a => a.Text)])),
        };
    }
}
