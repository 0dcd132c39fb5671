using System.Diagnostics;
using System.Globalization;
using System.Runtime.InteropServices;

namespace Stakeboat.Readers.Sound;

/// <summary>
/// Sound that no managed decoder reads (M4A), through the program ffmpeg where the person has installed it: mono, 48 kHz, over a pipe. The file is copied to a
/// temporary place first because such files keep their table at the end; the program may open nothing but that file.
/// </summary>
internal sealed class OutsideDecoder : SoundSource
{
    private const int Rate = 48000;
    private readonly Process _process;
    private readonly string _copy;
    private readonly IssueLog _log;
    private bool _ended;
    private long _read;

    private OutsideDecoder(Process process, string copy, IssueLog log) => (_process, _copy, _log) = (process, copy, log);

    public override int SampleRate => Rate;

    public override int Channels => 1;

    public override string Codec => "M4A (through ffmpeg)";

    /// <summary>AAC encoders put 20 to 50 ms before the sound, which the program takes off where the file says how much. Common practice, no source.</summary>
    public override double StartUncertainty => 0.05;

    /// <summary>Full path of a program in the folders of PATH; null where it is not installed.</summary>
    public static string? Find(string program, string? path)
    {
        foreach (string folder in (path ?? "").Split(Path.PathSeparator, StringSplitOptions.RemoveEmptyEntries))
        {
            string full = Path.Combine(folder, OperatingSystem.IsWindows() ? program + ".exe" : program);
            if (Path.IsPathFullyQualified(full) && File.Exists(full))
            {
                return full;
            }
        }

        return null;
    }

    public static OutsideDecoder? Open(Stream s, IssueLog log, double fromSeconds, string? program = null, string? search = null)
    {
        _ = fromSeconds;
        program ??= Find("ffmpeg", search ?? Environment.GetEnvironmentVariable("PATH"));
        if (program is null)
        {
            log.Error("", "An M4A recording needs the program ffmpeg, which is not installed here.",
                "Install it (Debian: apt install ffmpeg; macOS: brew install ffmpeg), or save the recording as WAV, FLAC, MP3 or Opus.");
            return null;
        }

        string copy = Path.Combine(Path.GetTempPath(), "stakeboat-" + Path.GetRandomFileName() + ".m4a");
        try
        {
            using (var file = new FileStream(copy, FileMode.CreateNew, FileAccess.Write))
            {
                s.CopyTo(file);
            }

            var start = new ProcessStartInfo(program) { RedirectStandardOutput = true, RedirectStandardError = false, RedirectStandardInput = true, UseShellExecute = false };
            foreach (string a in (string[])["-nostdin", "-v", "quiet", "-protocol_whitelist", "file,pipe", "-f", "mov", "-i", copy, "-vn", "-ac", "1",
                "-ar", Rate.ToString(CultureInfo.InvariantCulture), "-f", "f32le", "pipe:1"])
            {
                start.ArgumentList.Add(a);
            }

            var process = Process.Start(start) ?? throw new IOException("the program did not start");
            process.StandardInput.Close();
            return new OutsideDecoder(process, copy, log);
        }
        catch (Exception e) when (e is IOException or System.ComponentModel.Win32Exception or UnauthorizedAccessException)
        {
            Remove(copy);
            log.Error("", $"The program {Path.GetFileName(program)} could not be used: {e.Message}", "Save the recording as WAV, FLAC, MP3 or Opus.");
            return null;
        }
    }

    public override int Read(Span<float> interleaved)
    {
        if (_ended)
        {
            return 0;
        }

        var bytes = MemoryMarshal.AsBytes(interleaved);
        int n = _process.StandardOutput.BaseStream.ReadAtLeast(bytes, bytes.Length, throwOnEndOfStream: false) / 4;
        _read += n;
        if (n == 0)
        {
            _ended = true;
            _process.WaitForExit(5000);
            if (_read == 0 || !_process.HasExited || _process.ExitCode != 0)
            {
                _log.Add(_read == 0 ? Severity.Error : Severity.Warning, "", "The program ffmpeg could not read all of the M4A recording.", "What came was used. Save it as WAV or FLAC.");
            }
        }

        return n;
    }

    protected override void Dispose(bool disposing)
    {
        try
        {
            if (!_process.HasExited)
            {
                _process.Kill();
                _process.WaitForExit(5000);
            }
        }
        catch (InvalidOperationException)
        {
            // It was gone already.
        }

        _process.Dispose();
        Remove(_copy);
    }

    private static void Remove(string path)
    {
        try
        {
            File.Delete(path);
        }
        catch (IOException)
        {
            // A temporary file that stays costs nothing but room.
        }
    }
}
