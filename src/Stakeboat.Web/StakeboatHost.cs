using System.Net;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Stakeboat.Storage;
using Stakeboat.Web.Analysis;
using Stakeboat.Web.Boathouse;
using Stakeboat.Web.Imports;
using Stakeboat.Web.Outings;
using Stakeboat.Web.Plans;
using Stakeboat.Web.Safety;
using Stakeboat.Web.Words;

namespace Stakeboat.Web;

/// <summary>Puts the server together.</summary>
public static class StakeboatHost
{
    public static WebApplication Build(string[] args)
    {
        var options = StartOptions.Read(args);
        var builder = WebApplication.CreateBuilder(new WebApplicationOptions { ContentRootPath = AppContext.BaseDirectory, ApplicationName = "Stakeboat.Web" });
        builder.WebHost.UseStaticWebAssets();
        builder.Logging.ClearProviders().AddSimpleConsole(o => o.SingleLine = true).SetMinimumLevel(LogLevel.Warning);
        builder.WebHost.ConfigureKestrel(k =>
        {
            k.AddServerHeader = false;
            k.Listen(IPAddress.Loopback, options.FreePort());
            k.Limits.MaxRequestBodySize = 1_000_000;

            // A plan typed on a page without scripts comes as an address.
            k.Limits.MaxRequestLineSize = 64 * 1024;
        });

        var folder = new DataFolder(options.Data);
        builder.Services.AddSingleton(options).AddSingleton(folder).AddSingleton(TimeProvider.System);
        builder.Services.AddSingleton(s => new Store(folder, new StoreOptions(options.Postgres), s.GetRequiredService<TimeProvider>()));
        builder.Services.AddSingleton<Debriefer>().AddSingleton<AnalysisQueue>().AddSingleton<FormToken>().AddSingleton<Plans.CrewFromOutings>();
        builder.Services.AddHostedService<Preparation>();
        builder.Services.AddHostedService(s => s.GetRequiredService<AnalysisQueue>());
        builder.Services.AddSingleton<Words.WordsDesk>().AddHostedService(s => s.GetRequiredService<Words.WordsDesk>());
        builder.Services.AddDataProtection().SetApplicationName("Stakeboat").PersistKeysToFileSystem(new DirectoryInfo(folder.Keys));
        builder.Services.AddAntiforgery(a =>
        {
            a.HeaderName = RequestSafety.TokenHeader;
            a.FormFieldName = RequestSafety.TokenField;
            a.Cookie.Name = "stakeboat-form";
            a.Cookie.SameSite = SameSiteMode.Strict;
            a.Cookie.HttpOnly = true;
        });
        builder.Services.AddRazorComponents();
        builder.Services.AddHttpContextAccessor();
        builder.Services.AddCascadingValue(s => Ui.Look.FromCookie(
            s.GetRequiredService<IHttpContextAccessor>().HttpContext?.Request.Cookies[Ui.Look.CookieName]));

        var app = builder.Build();
        app.UseMiddleware<RequestSafety>();
        app.UseExceptionHandler(e => e.Run(PlainErrors.AnswerAsync));
        app.UseStatusCodePages(PlainErrors.StatusAsync);
        app.UseStaticFiles(new StaticFileOptions { OnPrepareResponse = c => c.Context.Response.Headers.CacheControl = "no-cache" });
        app.UseAntiforgery();
        app.MapImports();
        app.MapOutings();
        app.MapDownloads();
        app.MapBoathouse();
        app.MapPlans();
        app.MapWords();
        app.MapRazorComponents<Pages.App>();
        return app;
    }

    /// <summary>Where the started server listens.</summary>
    public static string AddressOf(WebApplication app)
    {
        ArgumentNullException.ThrowIfNull(app);
        return app.Services.GetRequiredService<IServer>().Features.Get<IServerAddressesFeature>()!.Addresses.First();
    }

    /// <summary>Brings the store up before the first page is served.</summary>
    private sealed class Preparation(Store store, StartOptions options, Debriefer debriefer) : IHostedService
    {
        public async Task StartAsync(CancellationToken cancellationToken)
        {
            await store.PrepareAsync(cancellationToken).ConfigureAwait(false);
            if (options.Demo)
            {
                await DemoRace.BringInAsync(store, debriefer, options, cancellationToken).ConfigureAwait(false);
            }
        }

        public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;
    }
}
