using Microsoft.AspNetCore.Antiforgery;

namespace Stakeboat.Web.Safety;

/// <summary>Checks a form's token without reading the form: the way for forms that are streamed.</summary>
public sealed class FormToken(IAntiforgery antiforgery)
{
    public async Task<bool> HoldsAsync(HttpContext context, string token)
    {
        ArgumentNullException.ThrowIfNull(context);
        context.Request.Headers[RequestSafety.TokenHeader] = token;
        return await antiforgery.IsRequestValidAsync(context).ConfigureAwait(false);
    }
}
