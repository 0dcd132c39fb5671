using System.Globalization;
using Stakeboat.Exchange.Corrections;
using Stakeboat.Exchange.Debriefs;
using Stakeboat.Storage;
using Stakeboat.Storage.Rows;

namespace Stakeboat.Web.Analysis;

/// <summary>From the stored files and corrections of an outing to its debrief document.</summary>
public sealed class Debriefer(DataFolder folder, Storage.Store store)
{
    /// <summary>Changes with every release that reads, reckons or words differently: older analyses are then made again.</summary>
    public static string Engine { get; } = typeof(Debriefer).Assembly.GetName().Version!.ToString(3);

    /// <summary>Lays the files out, reads them, applies the corrections and makes the debrief.</summary>
    /// <param name="report">Takes progress (0 to 1) and a sentence; throws to end the work.</param>
    public DebriefDocument Make(
        string name, IReadOnlyList<FileRow> files, IReadOnlyList<CorrectionRow> corrections, Action<double, string> report, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(report);
        report(0.05, "Laying the files out.");
        string place = Path.Combine(folder.Work, Guid.NewGuid().ToString("N"));
        Directory.CreateDirectory(place);
        try
        {
            LayOut(place, files);
            cancel.ThrowIfCancellationRequested();
            report(0.1, "Reading the files.");
            var standing = corrections.Where(c => !c.Undone).Select(c => CorrectionJson.Read(c.Body)).ToList();
            return FromFolder.Make(place, name, standing, report, cancel);
        }
        finally
        {
            Directory.Delete(place, recursive: true);
        }
    }

    private void LayOut(string place, IReadOnlyList<FileRow> files)
    {
        var taken = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
        foreach (var file in files)
        {
            string safe = DiskName(file.Name);
            for (int i = 2; !taken.Add(safe); i++)
            {
                safe = string.Create(CultureInfo.InvariantCulture, $"{Path.GetFileNameWithoutExtension(DiskName(file.Name))}-{i}{Path.GetExtension(safe)}");
            }

            string source = store.Vault.PathOf(file.Hash);
            try
            {
                File.CreateSymbolicLink(Path.Combine(place, safe), source);
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                // A system that lets nobody make links: the bytes are copied.
                File.Copy(source, Path.Combine(place, safe));
            }
        }
    }

    /// <summary>A name that every file system takes: letters, digits, dot, dash, underscore and space of ASCII.</summary>
    private static string DiskName(string name)
    {
        string kept = new([.. name.Select(c => char.IsAsciiLetterOrDigit(c) || c is '.' or '-' or '_' or ' ' ? c : '_')]);
        return kept.TrimStart('.', ' ', '-') is { Length: > 0 } s ? s : "file";
    }
}
