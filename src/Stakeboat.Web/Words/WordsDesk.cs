using System.Text;
using Stakeboat.Core.Calls;
using Stakeboat.Core.Measurement;
using Stakeboat.Exchange;
using Stakeboat.Readers;
using Stakeboat.Storage;
using Stakeboat.Storage.Rows;
using Stakeboat.Web.Analysis;
using Stakeboat.Web.Outings;
using Stakeboat.Words;
using Stakeboat.Words.Language;
using Stakeboat.Words.Recognisers;

namespace Stakeboat.Web.Words;

/// <summary>How far the words of an outing's recording are.</summary>
/// <param name="State">"none", "waiting", "running", "done", "stopped" or "failed".</param>
public sealed record WordsState(string State, double Done, string Stage, string Message, string Recogniser);

/// <summary>
/// Turns recordings into words, one at a time. What is done is logged in the data folder: a recording whose recognition was stopped, or
/// killed with the server, goes on where it was.
/// </summary>
public sealed class WordsDesk(Store store, DataFolder folder, AnalysisQueue queue, ILogger<WordsDesk> log) : BackgroundService
{
    /// <summary>Name under which our words join the files of an outing.</summary>
    public const string FileName = "words heard here.json";

    private readonly Lock _gate = new();
    private readonly Dictionary<string, Work> _works = [];
    private readonly System.Threading.Channels.Channel<Work> _line = System.Threading.Channels.Channel.CreateUnbounded<Work>();

    /// <summary>The recognisers of this machine: a models folder and recognisers.txt in the data folder.</summary>
    public RecogniserChoices Choices { get; } = new(
        Path.Combine(folder.Path, "models"), Path.Combine(folder.Path, RecogniserChoices.SettingsFile), CallModels.Default.Sounds.Of);

    /// <summary>A caption track that was made here and not brought.</summary>
    public static bool IsOurs(string name) => name.StartsWith("words heard here", StringComparison.Ordinal);

    /// <summary>State and the words from the <paramref name="seen"/>-th arrival on.</summary>
    public (WordsState State, IReadOnlyList<RecognisedWord> Newer, int Count) Look(string outing, int seen)
    {
        lock (_gate)
        {
            return _works.TryGetValue(outing, out var w)
                ? (w.State, [.. w.Arrived.Skip(Math.Max(0, seen))], w.Arrived.Count) : (new WordsState("none", 0, "", "", ""), [], 0);
        }
    }

    /// <summary>Asks for the words of an outing's recording. Asking twice is asking once.</summary>
    /// <exception cref="RecogniserException">No such recogniser is ready.</exception>
    public void Begin(string outing, string? recogniser)
    {
        string name = recogniser ?? Choices.All().FirstOrDefault(r => r.State.Ready).Name ?? "";
        using (Choices.Open(recogniser) as IDisposable)
        {
            var state = Choices.All().FirstOrDefault(r => r.Name == name).State;
            if (state is { Ready: false })
            {
                throw new RecogniserException(state.Sentence);
            }
        }

        lock (_gate)
        {
            if (_works.TryGetValue(outing, out var known) && known.State.State is "waiting" or "running")
            {
                return;
            }

            var work = new Work(outing, name);
            _works[outing] = work;
            Directory.CreateDirectory(WorkFolder);
            File.WriteAllText(Mark(outing), name);
            _line.Writer.TryWrite(work);
        }
    }

    /// <summary>Stops the work; what is done stays, for going on.</summary>
    public void Stop(string outing)
    {
        lock (_gate)
        {
            if (_works.TryGetValue(outing, out var w) && w.State.State is "waiting" or "running")
            {
                w.Cancel.Cancel();
                w.State = w.State with { State = "stopped", Message = "Stopped. What was heard is kept; begin again to go on from there." };
                File.Delete(Mark(outing));
            }
        }
    }

    /// <summary>Takes away everything of an outing that is deleted.</summary>
    public void Forget(string outing)
    {
        Stop(outing);
        lock (_gate)
        {
            _works.Remove(outing);
        }

        File.Delete(Mark(outing));
        File.Delete(Log(outing));
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        await Task.Yield();
        if (Directory.Exists(WorkFolder))
        {
            // Work that was under way when the server went down.
            foreach (string mark in Directory.GetFiles(WorkFolder, "*.work"))
            {
                string outing = Path.GetFileNameWithoutExtension(mark);
                try
                {
                    if (await store.OutingAsync(outing, stoppingToken).ConfigureAwait(false) is null)
                    {
                        Forget(outing);
                    }
                    else
                    {
                        Begin(outing, await File.ReadAllTextAsync(mark, stoppingToken).ConfigureAwait(false));
                    }
                }
                catch (RecogniserException e)
                {
                    log.LogWarning(e, "The words of {Outing} cannot go on", outing);
                    File.Delete(mark);
                }
            }
        }

        await foreach (var work in _line.Reader.ReadAllAsync(stoppingToken).ConfigureAwait(false))
        {
            using var ending = CancellationTokenSource.CreateLinkedTokenSource(stoppingToken, work.Cancel.Token);
            await DoAsync(work, ending.Token, stoppingToken).ConfigureAwait(false);
        }
    }

    private string WorkFolder => Path.Combine(folder.Path, "words");

    private string Mark(string outing) => Path.Combine(WorkFolder, outing + ".work");

    private string Log(string outing) => Path.Combine(WorkFolder, outing + ".part");

    private async Task DoAsync(Work work, CancellationToken cancel, CancellationToken stopping)
    {
        try
        {
            cancel.ThrowIfCancellationRequested();
            Tell(work, s => s with { State = "running", Stage = "looking for speech" });
            var files = await store.FilesAsync(work.Outing, cancel).ConfigureAwait(false);
            var sound = await SoundOfAsync(files, cancel).ConfigureAwait(false) ?? throw new RecogniserException("There is no recording among the files of this race.");
            var sheet = OutingFolder.Read("outing", [.. files.Where(f => f.Size < 200_000 && f.Name.EndsWith(".json", StringComparison.OrdinalIgnoreCase))
                .Select(f => new OutingFile(f.Name, () => store.Vault.Open(f.Hash)))]).Value?.Sheet;
            var recogniser = Choices.Open(work.Recogniser);
            using (recogniser as IDisposable)
            {
                var job = new WordsJob(
                    () => store.Vault.Open(sound.Hash), sound.Name, recogniser, new RecogniserHints(TalkModel.For(sheet), Prompt.For(sheet)), Log(work.Outing));
                var result = await Task.Run(() => job.Run(p => Arrive(work, p), cancel), cancel).ConfigureAwait(false);
                if (result.Words.Count == 0)
                {
                    throw new RecogniserException(result.Sentence);
                }

                byte[] json = Encoding.UTF8.GetBytes(CaptionText.WordJson(WordsJob.ToCaptions(FileName, result.Words)));
                using var bytes = new MemoryStream(json);
                await store.AddFileAsync(work.Outing, FileName, bytes, json.Length, stopping).ConfigureAwait(false);
                await store.EnqueueAsync(work.Outing, stopping).ConfigureAwait(false);
                queue.Ring();
                Tell(work, s => s with
                {
                    State = "done", Done = 1,
                    Message = string.Create(System.Globalization.CultureInfo.InvariantCulture,
                        $"{result.Words.Count} words from {result.SpeechSeconds / 60:0.0} minutes of speech in {result.Seconds / 60:0.0} minutes of sound. {result.Sentence}").TrimEnd(),
                });
                File.Delete(Mark(work.Outing));
                File.Delete(Log(work.Outing));
            }
        }
        catch (OperationCanceledException)
        {
            // Stopped by the person: said already. Stopped with the server: the mark stays, and the work goes on at the next start.
        }
        catch (Exception e) when (e is RecogniserException or ExchangeException or KeyNotFoundException)
        {
            Fail(work, e.Message);
        }
        catch (Exception e)
        {
            log.LogError(e, "The words of {Outing} failed", work.Outing);
            Fail(work, "The recognition stopped on something unforeseen. The recording is kept; what was heard so far goes on from there when you begin again.");
        }
    }

    /// <summary>The largest sound among the files: the recording.</summary>
    public async Task<FileRow?> SoundOfAsync(IReadOnlyList<FileRow> files, CancellationToken cancel)
    {
        foreach (var f in files.OrderByDescending(f => f.Size))
        {
            if (await SoundType.OfAsync(store.Vault, f.Hash, cancel).ConfigureAwait(false) is not null)
            {
                return f;
            }
        }

        return files.FirstOrDefault(f => Path.GetExtension(f.Name).ToUpperInvariant() is ".MP3" or ".WAV" or ".M4A" or ".OGG" or ".OPUS" or ".FLAC");
    }

    private void Fail(Work work, string sentence)
    {
        Tell(work, s => s with { State = "failed", Message = sentence });
        File.Delete(Mark(work.Outing));
    }

    private void Arrive(Work work, WordsProgress p)
    {
        lock (_gate)
        {
            work.Arrived.AddRange(p.Newest);
        }

        Tell(work, s => s with { Done = p.Done, Stage = p.Stage });
    }

    private void Tell(Work work, Func<WordsState, WordsState> change)
    {
        lock (_gate)
        {
            if (work.State.State is not "stopped")
            {
                work.State = change(work.State);
            }
        }
    }

    private sealed class Work(string outing, string recogniser)
    {
        public string Outing => outing;

        public string Recogniser => recogniser;

        public CancellationTokenSource Cancel { get; } = new();

        public List<RecognisedWord> Arrived { get; } = [];

        public WordsState State { get; set; } = new("waiting", 0, "", "", recogniser);
    }
}
