using System.Net;
using Microsoft.AspNetCore.Antiforgery;

namespace Stakeboat.Web.Safety;

/// <summary>
/// Keeps other pages of the same browser out. A request must name this machine as its host; a request that changes something must come
/// from our own page and carry its token; an answer may be used by no other origin and may load nothing from elsewhere.
/// </summary>
public sealed class RequestSafety(RequestDelegate next)
{
    public const string TokenHeader = "X-Stakeboat-Token";
    public const string TokenField = "stakeboatToken";

    private const string Policy =
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; media-src 'self'; font-src 'self'; connect-src 'self'; "
        + "form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

    public Task InvokeAsync(HttpContext context)
    {
        ArgumentNullException.ThrowIfNull(context);
        var headers = context.Response.Headers;
        headers.ContentSecurityPolicy = Policy;
        headers.XContentTypeOptions = "nosniff";
        headers.XFrameOptions = "DENY";
        // Under "no-referrer" a browser sends our own forms with the origin "null", and they would be refused.
        headers["Referrer-Policy"] = "same-origin";
        headers["Cross-Origin-Opener-Policy"] = "same-origin";
        headers["Cross-Origin-Resource-Policy"] = "same-origin";
        headers["Permissions-Policy"] = "camera=(), microphone=(), geolocation=()";
        var request = context.Request;
        if (!IsThisMachine(request.Host))
        {
            return RefuseAsync(context, 421, "This address is not ours. Open the page by the address that the program printed.");
        }

        string own = $"{request.Scheme}://{request.Host.Value}";
        string? origin = request.Headers.Origin.FirstOrDefault();
        string? site = request.Headers["Sec-Fetch-Site"].FirstOrDefault();
        bool reads = HttpMethods.IsGet(request.Method) || HttpMethods.IsHead(request.Method);
        if (origin is not null && !string.Equals(origin, own, StringComparison.OrdinalIgnoreCase))
        {
            return RefuseAsync(context, 403, "A page of another origin may read and change nothing here.");
        }

        if (site is "cross-site" or "same-site" && !(reads && request.Headers["Sec-Fetch-Mode"] == "navigate"))
        {
            return RefuseAsync(context, 403, "A page of another origin may read and change nothing here.");
        }

        return !reads && origin is null && site is not "same-origin"
            ? RefuseAsync(context, 403, "A request that changes something must say where it comes from.")
            : next(context);
    }

    /// <summary>True for the names of the loopback address, with any port.</summary>
    public static bool IsThisMachine(HostString host)
    {
        if (!host.HasValue)
        {
            return false;
        }

        string name = host.Host.Trim('[', ']');
        return string.Equals(name, "localhost", StringComparison.OrdinalIgnoreCase) || (IPAddress.TryParse(name, out var address) && IPAddress.IsLoopback(address));
    }

    private static Task RefuseAsync(HttpContext context, int status, string sentence)
    {
        context.Response.StatusCode = status;
        context.Response.ContentType = "text/plain; charset=utf-8";
        return context.Response.WriteAsync(sentence, context.RequestAborted);
    }
}

/// <summary>Demands the page's token on an endpoint that changes something.</summary>
public static class TokenDemand
{
    public static TBuilder NeedsToken<TBuilder>(this TBuilder builder)
        where TBuilder : IEndpointConventionBuilder =>
        builder.AddEndpointFilter(async (call, next) =>
        {
            var antiforgery = call.HttpContext.RequestServices.GetRequiredService<IAntiforgery>();
            return await antiforgery.IsRequestValidAsync(call.HttpContext).ConfigureAwait(false)
                ? await next(call).ConfigureAwait(false)
                : Results.Text("This form is out of date. Load the page again and repeat what you did; nothing was changed.", "text/plain", statusCode: 400);
        });
}
