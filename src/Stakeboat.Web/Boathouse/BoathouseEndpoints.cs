using System.Globalization;
using Microsoft.AspNetCore.Http.Features;
using Stakeboat.Core.Boats;
using Stakeboat.Exchange;
using Stakeboat.Storage;
using Stakeboat.Storage.Rows;
using Stakeboat.Web.Safety;

namespace Stakeboat.Web.Boathouse;

/// <summary>Crews, people, hulls, courses and the whole data folder: plain forms.</summary>
public static class BoathouseEndpoints
{
    public static void MapBoathouse(this IEndpointRouteBuilder routes)
    {
        ArgumentNullException.ThrowIfNull(routes);
        var group = routes.MapGroup("/boathouse");
        group.MapPost("/crews", CrewAsync).NeedsToken();
        group.MapPost("/person", PersonAsync).NeedsToken();
        group.MapPost("/hull", HullAsync).NeedsToken();
        group.MapPost("/course", CourseAsync).NeedsToken();
        group.MapPost("/remove", RemoveAsync).NeedsToken();
        routes.MapPost("/next-plan/{id}", PlanDoneAsync).NeedsToken();
        routes.MapPost("/restore", RestoreAsync).DisableAntiforgery();
        routes.MapPost("/look", LookAsync).NeedsToken();
    }

    private static async Task<IResult> CrewAsync(HttpContext context, Store store, Analysis.AnalysisQueue queue, CancellationToken cancel)
    {
        var form = await context.Request.ReadFormAsync(cancel).ConfigureAwait(false);
        var crew = new CrewRow
        {
            Id = Id(form), Name = Text(form, "name", "A crew", 80), Boat = Boat(form).Code, HullId = Optional(form, "hull"),
            Words = Lines(form, "words"), Archived = form["archived"] == "yes",
        };
        await store.KeepAsync(crew, cancel).ConfigureAwait(false);
        var seats = new Dictionary<int, string>();
        for (int seat = 0; seat <= 8; seat++)
        {
            if (Optional(form, string.Create(CultureInfo.InvariantCulture, $"seat{seat}")) is { } person)
            {
                seats[seat] = person;
            }
        }

        await store.SeatCrewAsync(crew.Id, seats, cancel).ConfigureAwait(false);
        await AgainAsync(crew.Id, store, queue, cancel).ConfigureAwait(false);
        return Results.Redirect("/boathouse");
    }

    private static async Task<IResult> PersonAsync(HttpContext context, Store store, Analysis.AnalysisQueue queue, CancellationToken cancel)
    {
        var form = await context.Request.ReadFormAsync(cancel).ConfigureAwait(false);
        string id = Id(form);
        await store.KeepAsync(new PersonRow
        {
            Id = id, Name = Text(form, "name", "A person", 80),
            Mass = string.IsNullOrWhiteSpace(form["mass"]) ? null : Number(form, "mass", "A person's mass", 20, 200),
            Archived = form["archived"] == "yes",
        }, cancel).ConfigureAwait(false);
        await AgainAsync(id, store, queue, cancel).ConfigureAwait(false);
        return Results.Redirect("/boathouse#people");
    }

    private static async Task<IResult> HullAsync(HttpContext context, Store store, Analysis.AnalysisQueue queue, CancellationToken cancel)
    {
        var form = await context.Request.ReadFormAsync(cancel).ConfigureAwait(false);
        var usual = Boat(form);
        double Or(string field, double other) => string.IsNullOrWhiteSpace(form[field]) ? other : Number(form, field, "A place in the hull", 0.1, 40);
        var hull = new HullRow
        {
            Id = Id(form), Name = Text(form, "name", "A hull", 80), Boat = usual.Code, Seats = usual.Rowers,
            Length = Or("length", usual.Geometry.Length.Metres), BowSeat = Or("bowSeat", usual.Geometry.BowSeat.Metres),
            SeatSpacing = Or("seatSpacing", usual.Geometry.SeatSpacing.Metres),
            Cox = usual.Coxed ? Or("cox", usual.Geometry.Cox!.Value.Metres) : null, Archived = form["archived"] == "yes",
        };
        try
        {
            _ = new HullGeometry(
                Core.Units.Distance.FromMetres(hull.Length), Core.Units.Distance.FromMetres(hull.BowSeat), Core.Units.Distance.FromMetres(hull.SeatSpacing),
                hull.Seats, hull.Cox is { } c ? Core.Units.Distance.FromMetres(c) : null);
        }
        catch (ArgumentOutOfRangeException e)
        {
            throw new ExchangeException("These measures do not fit together: " + e.Message.Split(" (", 2)[0], e);
        }

        await store.KeepAsync(hull, cancel).ConfigureAwait(false);
        await AgainAsync(hull.Id, store, queue, cancel).ConfigureAwait(false);
        return Results.Redirect("/boathouse#hulls");
    }

    private static async Task<IResult> CourseAsync(HttpContext context, Store store, Analysis.AnalysisQueue queue, CancellationToken cancel)
    {
        var form = await context.Request.ReadFormAsync(cancel).ConfigureAwait(false);
        string id = Id(form);
        await store.KeepAsync(new CourseRow
        {
            Id = id, Name = Text(form, "name", "A course", 80), Length = Number(form, "length", "A course's length", 100, 200_000),
            LaneWidth = string.IsNullOrWhiteSpace(form["laneWidth"]) ? 13.5 : Number(form, "laneWidth", "A lane's width", 3, 100),
            Marks = Lines(form, "marks"), Archived = form["archived"] == "yes",
        }, cancel).ConfigureAwait(false);
        await AgainAsync(id, store, queue, cancel).ConfigureAwait(false);
        return Results.Redirect("/boathouse#courses");
    }

    /// <summary>What changed in the boathouse changes the debriefs that rest on it.</summary>
    private static async Task AgainAsync(string id, Store store, Analysis.AnalysisQueue queue, CancellationToken cancel)
    {
        if (await store.AnalyseAgainAsync(id, cancel).ConfigureAwait(false) > 0)
        {
            queue.Ring();
        }
    }

    private static async Task<IResult> RemoveAsync(HttpContext context, Store store, CancellationToken cancel)
    {
        var form = await context.Request.ReadFormAsync(cancel).ConfigureAwait(false);
        string id = Text(form, "id", "An identity", 64);
        await (form["what"].ToString() switch
        {
            "crew" => store.RemoveAsync<CrewRow>(id, cancel),
            "person" => store.RemoveAsync<PersonRow>(id, cancel),
            "hull" => store.RemoveAsync<HullRow>(id, cancel),
            "course" => store.RemoveAsync<CourseRow>(id, cancel),
            _ => throw new ExchangeException("There is nothing of that kind in the boathouse."),
        }).ConfigureAwait(false);
        return Results.Redirect("/boathouse");
    }

    private static async Task<IResult> PlanDoneAsync(string id, HttpContext context, Store store, CancellationToken cancel)
    {
        var form = await context.Request.ReadFormAsync(cancel).ConfigureAwait(false);
        if (form["do"] == "remove")
        {
            await store.RemoveAsync<NextPlanRow>(id, cancel).ConfigureAwait(false);
        }
        else if ((await store.NextPlanAsync(cancel).ConfigureAwait(false)).FirstOrDefault(n => n.Id == id) is { } row)
        {
            row.Done = form["do"] == "done";
            await store.KeepAsync(row, cancel).ConfigureAwait(false);
        }

        return Results.Redirect("/next-plan");
    }

    /// <summary>Replaces everything by a backup: the form is streamed, its token and its tick come first.</summary>
    private static async Task<IResult> RestoreAsync(HttpContext context, Store store, StartOptions options, FormToken token)
    {
        if (context.Features.Get<IHttpMaxRequestBodySizeFeature>() is { IsReadOnly: false } size)
        {
            size.MaxRequestBodySize = null;
        }

        string? boundary = Microsoft.Net.Http.Headers.MediaTypeHeaderValue.TryParse(context.Request.ContentType, out var type)
            ? Microsoft.Net.Http.Headers.HeaderUtilities.RemoveQuotes(type.Boundary).Value : null;
        if (string.IsNullOrEmpty(boundary))
        {
            return Results.Text("The form could not be understood.", statusCode: 400);
        }

        var reader = new Microsoft.AspNetCore.WebUtilities.MultipartReader(boundary, context.Request.Body);
        bool trusted = false, sure = false;
        while (await reader.ReadNextSectionAsync(context.RequestAborted).ConfigureAwait(false) is { } section)
        {
            if (Microsoft.AspNetCore.WebUtilities.MultipartSectionConverterExtensions.AsFileSection(section) is { FileStream: { } bytes } file && file.FileName.Length > 0)
            {
                if (!trusted || !sure)
                {
                    return Results.Text(
                        trusted ? "Tick the box that says you mean it; nothing was changed." : "This form is out of date. Load the page again; nothing was changed.",
                        statusCode: trusted ? 422 : 400);
                }

                string temporary = Path.Combine(store.Folder.Incoming, Guid.NewGuid().ToString("N"));
                var seekable = new FileStream(temporary, FileMode.CreateNew, FileAccess.ReadWrite, FileShare.None, 65536, FileOptions.DeleteOnClose);
                await using (seekable.ConfigureAwait(false))
                {
                    await bytes.CopyToAsync(seekable, context.RequestAborted).ConfigureAwait(false);
                    seekable.Position = 0;
                    await Backup.RestoreAsync(store, seekable, options.UploadLimit, context.RequestAborted).ConfigureAwait(false);
                }

                return Results.Redirect("/season");
            }

            if (Microsoft.AspNetCore.WebUtilities.MultipartSectionConverterExtensions.AsFormDataSection(section) is { } field)
            {
                string value = await field.GetValueAsync(context.RequestAborted).ConfigureAwait(false);
                trusted |= field.Name == RequestSafety.TokenField && await token.HoldsAsync(context, value).ConfigureAwait(false);
                sure |= field.Name == "sure" && value == "yes";
            }
        }

        return Results.Text("No backup was chosen; nothing was changed.", statusCode: 422);
    }

    private static async Task<IResult> LookAsync(HttpContext context, CancellationToken cancel)
    {
        var form = await context.Request.ReadFormAsync(cancel).ConfigureAwait(false);
        var look = Ui.Look.From(form["theme"], form["margin"], form["speed"]);
        context.Response.Cookies.Append(Ui.Look.CookieName, look.ToCookie(), new CookieOptions
        {
            SameSite = SameSiteMode.Strict, MaxAge = TimeSpan.FromDays(3650), IsEssential = true, Path = "/",
        });
        string back = form["back"].ToString();
        return Results.LocalRedirect(back.StartsWith('/') && !back.StartsWith("//", StringComparison.Ordinal) && !back.StartsWith("/\\", StringComparison.Ordinal) ? back : "/");
    }

    private static string Id(IFormCollection form) =>
        Optional(form, "id") is { } id ? id : Guid.CreateVersion7().ToString("N");

    private static BoatClass Boat(IFormCollection form) =>
        BoatClass.Find(form["boat"].ToString()) ?? throw new ExchangeException("Choose a class of boat from the list.");

    private static string? Optional(IFormCollection form, string field) =>
        form[field].ToString().Trim() is { Length: > 0 and <= 64 } s ? s : null;

    private static string Text(IFormCollection form, string field, string what, int most) =>
        form[field].ToString().Trim() is { Length: > 0 } s && s.Length <= most
            ? s : throw new ExchangeException(string.Create(CultureInfo.InvariantCulture, $"{what} needs a name of 1 to {most} characters."));

    private static string Lines(IFormCollection form, string field) =>
        form[field].ToString() is { Length: <= 20_000 } s ? s.ReplaceLineEndings("\n").Trim() : throw new ExchangeException("That list is too long.");

    private static double Number(IFormCollection form, string field, string what, double low, double high) =>
        double.TryParse(form[field].ToString().Replace(',', '.'), NumberStyles.Float, CultureInfo.InvariantCulture, out double x) && x >= low && x <= high
            ? x : throw new ExchangeException(string.Create(CultureInfo.InvariantCulture, $"{what} is a number from {low:0.#} to {high:0.#}."));
}
