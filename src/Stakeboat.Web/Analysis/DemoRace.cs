using Stakeboat.Storage;

namespace Stakeboat.Web.Analysis;

/// <summary>The race that ships with the program, so that the first visit has something to see.</summary>
public static class DemoRace
{
    /// <summary>Brings the demo race in where it is not yet; its files lie beside the program.</summary>
    public static async Task BringInAsync(Store store, Debriefer debriefer, StartOptions options, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(store);
        ArgumentNullException.ThrowIfNull(options);
        string place = Path.Combine(AppContext.BaseDirectory, "demo");
        if (!Directory.Exists(place) || await store.SettingAsync("demo", cancel).ConfigureAwait(false) is not null)
        {
            return;
        }

        var outing = await store.BeginOutingAsync("Demo race", "demo", demo: true, cancel).ConfigureAwait(false);
        foreach (string file in Directory.EnumerateFiles(place).Where(f => !Path.GetFileName(f).StartsWith("truth", StringComparison.Ordinal)).Order(StringComparer.Ordinal))
        {
            var bytes = new FileStream(file, FileMode.Open, FileAccess.Read, FileShare.Read);
            await using (bytes.ConfigureAwait(false))
            {
                await store.AddFileAsync(outing.Id, Path.GetFileName(file), bytes, options.UploadLimit, cancel).ConfigureAwait(false);
            }
        }

        await store.FinishOutingAsync(outing.Id, cancel: cancel).ConfigureAwait(false);
        await store.KeepAsync(new Storage.Rows.SettingRow { Name = "demo", Value = outing.Id }, cancel).ConfigureAwait(false);
    }
}
