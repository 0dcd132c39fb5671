using Microsoft.AspNetCore.Diagnostics;
using Stakeboat.Exchange;
using Stakeboat.Storage;
using Stakeboat.Storage.Originals;

namespace Stakeboat.Web.Safety;

/// <summary>Turns what went wrong into a sentence. No trace of the program's inside reaches a page.</summary>
public static class PlainErrors
{
    public static Task AnswerAsync(HttpContext context)
    {
        ArgumentNullException.ThrowIfNull(context);
        var error = context.Features.Get<IExceptionHandlerFeature>()?.Error;
        (int status, string sentence) = error switch
        {
            KeyNotFoundException e => (404, e.Message),
            ChangedMeanwhileException e => (409, e.Message),
            TooLargeException e => (413, e.Message),
            ExchangeException e => (422, e.Message),
            BadHttpRequestException e => (e.StatusCode, e.StatusCode == 413 ? "The request is larger than is taken." : "The request could not be understood."),
            System.Text.Json.JsonException => (400, "The request could not be understood."),
            IOException e when e.HResult == unchecked((int)0x8007_0070) || e.Message.Contains("space", StringComparison.Ordinal)
                => (507, "The disk is full. Nothing was kept of this file; make room and drop it again."),
            _ => (500, "Something went wrong on our side. What was acknowledged before is kept; try again."),
        };
        if (status == 500 && error is not null)
        {
            context.RequestServices.GetRequiredService<ILoggerFactory>().CreateLogger("Stakeboat").LogError(error, "{Path} failed", context.Request.Path);
        }

        return WriteAsync(context, status, sentence);
    }

    public static Task StatusAsync(StatusCodeContext status)
    {
        ArgumentNullException.ThrowIfNull(status);
        var context = status.HttpContext;
        return WriteAsync(context, context.Response.StatusCode, context.Response.StatusCode switch
        {
            404 => "There is nothing at this address.",
            405 => "This address cannot be used that way.",
            _ => "The request could not be answered.",
        });
    }

    private static Task WriteAsync(HttpContext context, int status, string sentence)
    {
        context.Response.StatusCode = status;
        bool page = context.Request.Headers.Accept.Any(a => a?.Contains("text/html", StringComparison.Ordinal) == true);
        context.Response.ContentType = page ? "text/html; charset=utf-8" : "text/plain; charset=utf-8";
        return context.Response.WriteAsync(
            page ? $"""
                <!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
                <title>Stakeboat</title><link rel="stylesheet" href="/_content/Stakeboat.Ui/stakeboat.css"></head>
                <body><main class="sheet"><h1>{System.Net.WebUtility.HtmlEncode(sentence)}</h1><p><a href="/">To your races</a></p></main></body></html>
                """ : sentence,
            context.RequestAborted);
    }
}
