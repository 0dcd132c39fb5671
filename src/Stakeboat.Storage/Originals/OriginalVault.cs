using System.Buffers;
using System.Security.Cryptography;

namespace Stakeboat.Storage.Originals;

/// <param name="Hash">SHA-256, lower-case hexadecimal.</param>
public readonly record struct StoredOriginal(string Hash, long Size);

/// <summary>A file is larger than the store was told to take.</summary>
public sealed class TooLargeException(long limit)
    : Exception(string.Create(System.Globalization.CultureInfo.InvariantCulture, $"The file is larger than {limit / 1_000_000} MB, the most that is taken."))
{
    public long Limit { get; } = limit;
}

/// <summary>
/// Originals by the hash of their bytes. A file is written beside, forced to the disk, then renamed: after a crash at any instant
/// the vault holds whole files only. The same bytes are kept once.
/// </summary>
public sealed class OriginalVault(DataFolder folder)
{
    private const int Chunk = 128 * 1024;

    /// <summary>Takes a stream to its end in constant memory.</summary>
    /// <param name="limit">Bytes; more is refused with <see cref="TooLargeException"/> and nothing stays.</param>
    public async Task<StoredOriginal> StoreAsync(Stream source, long limit, CancellationToken cancel, IProgress<long>? progress = null)
    {
        ArgumentNullException.ThrowIfNull(source);
        string temporary = Path.Combine(folder.Incoming, Guid.NewGuid().ToString("N"));
        byte[] buffer = ArrayPool<byte>.Shared.Rent(Chunk);
        try
        {
            using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
            long size = 0;
            var options = new FileStreamOptions { Mode = FileMode.CreateNew, Access = FileAccess.Write, Share = FileShare.None, BufferSize = 0 };
            var target = new FileStream(temporary, options);
            await using (target.ConfigureAwait(false))
            {
                int n;
                while ((n = await source.ReadAsync(buffer.AsMemory(0, Chunk), cancel).ConfigureAwait(false)) > 0)
                {
                    size += n;
                    if (size > limit)
                    {
                        throw new TooLargeException(limit);
                    }

                    hash.AppendData(buffer, 0, n);
                    await target.WriteAsync(buffer.AsMemory(0, n), cancel).ConfigureAwait(false);
                    progress?.Report(size);
                }

                target.Flush(flushToDisk: true);
            }

            string name = Convert.ToHexStringLower(hash.GetHashAndReset());
            string place = PathOf(name);
            string parent = Path.GetDirectoryName(place)!;
            Directory.CreateDirectory(parent);
            if (File.Exists(place))
            {
                File.Delete(temporary);
            }
            else
            {
                File.Move(temporary, place);
                SyncFolder(parent);
            }

            return new StoredOriginal(name, size);
        }
        finally
        {
            ArrayPool<byte>.Shared.Return(buffer);
            if (File.Exists(temporary))
            {
                File.Delete(temporary);
            }
        }
    }

    /// <summary>Path of an original; <paramref name="hash"/> is checked to be a hash, so that no text from outside becomes a path.</summary>
    public string PathOf(string hash)
    {
        if (hash is not { Length: 64 } || !hash.All(char.IsAsciiHexDigitLower))
        {
            throw new ArgumentException("An original is named by 64 lower-case hexadecimal digits.", nameof(hash));
        }

        return Path.Combine(folder.Originals, hash[..2], hash);
    }

    public bool Holds(string hash) => File.Exists(PathOf(hash));

    public FileStream Open(string hash) => new(PathOf(hash), FileMode.Open, FileAccess.Read, FileShare.Read | FileShare.Delete, Chunk, FileOptions.Asynchronous);

    public void Delete(string hash)
    {
        string path = PathOf(hash);
        File.Delete(path);
        string parent = Path.GetDirectoryName(path)!;
        if (Directory.Exists(parent))
        {
            SyncFolder(parent);
        }
    }

    /// <summary>Every hash that lies in the vault.</summary>
    public IEnumerable<string> All() =>
        Directory.EnumerateFiles(folder.Originals, "*", SearchOption.AllDirectories).Select(f => Path.GetFileName(f)).Where(n => n.Length == 64);

    /// <summary>Takes away what lies half-written from a run that ended badly. Called once at the start.</summary>
    public void SweepIncoming()
    {
        foreach (string file in Directory.EnumerateFiles(folder.Incoming))
        {
            File.Delete(file);
        }

        foreach (string left in Directory.EnumerateDirectories(folder.Work))
        {
            Directory.Delete(left, recursive: true);
        }
    }

    /// <summary>A rename is safe on the disk only when its folder is; the runtime has no call for it.</summary>
    private static void SyncFolder(string path)
    {
        if (OperatingSystem.IsWindows())
        {
            return;
        }

        int handle = Native.Open(path, 0);
        if (handle >= 0)
        {
            // A file system that refuses it leaves the rename atomic all the same.
            _ = Native.Fsync(handle);
            _ = Native.Close(handle);
        }
    }
}

/// <summary>The three calls that force a folder to the disk.</summary>
internal static partial class Native
{
    [System.Runtime.InteropServices.LibraryImport("libc", EntryPoint = "open", StringMarshalling = System.Runtime.InteropServices.StringMarshalling.Utf8)]
    internal static partial int Open(string path, int flags);

    [System.Runtime.InteropServices.LibraryImport("libc", EntryPoint = "fsync")]
    internal static partial int Fsync(int handle);

    [System.Runtime.InteropServices.LibraryImport("libc", EntryPoint = "close")]
    internal static partial int Close(int handle);
}
