using System.Security.Cryptography;
using System.Text;
using Stakeboat.Storage.Originals;

namespace Stakeboat.Storage.Tests;

public sealed class OriginalVaultTests : IDisposable
{
    private readonly string _path = Directory.CreateTempSubdirectory("stakeboat-vault-").FullName;

    public void Dispose() => Directory.Delete(_path, recursive: true);

    [Fact]
    public async Task TheNameIsTheHashOfTheBytes()
    {
        var vault = new OriginalVault(new DataFolder(_path));
        var stored = await vault.StoreAsync(StoreSuite.Bytes("abc"), 100, default);
        // FIPS 180-2 (2002), appendix B.1: the digest of "abc".
        Assert.Equal("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", stored.Hash);
        Assert.Equal(3, stored.Size);
        Assert.Equal(stored, await vault.StoreAsync(StoreSuite.Bytes("abc"), 100, default));
        Assert.Single(vault.All());
    }

    [Fact]
    public async Task TooMuchIsRefusedAndNothingStays()
    {
        var folder = new DataFolder(_path);
        var vault = new OriginalVault(folder);
        await Assert.ThrowsAsync<TooLargeException>(() => vault.StoreAsync(StoreSuite.Bytes("abcdef"), 5, default));
        Assert.Empty(vault.All());
        Assert.Empty(Directory.EnumerateFiles(folder.Incoming));
    }

    [Fact]
    public async Task AnInterruptedUploadLeavesNothing()
    {
        var folder = new DataFolder(_path);
        var vault = new OriginalVault(folder);
        await Assert.ThrowsAsync<IOException>(() => vault.StoreAsync(new BrokenStream(), 1_000_000, default));
        Assert.Empty(vault.All());
        Assert.Empty(Directory.EnumerateFiles(folder.Incoming));
    }

    [Theory]
    [InlineData("../../etc/passwd")]
    [InlineData("")]
    [InlineData("BA7816BF8F01CFEA414140DE5DAE2223B00361A396177A9CB410FF61F20015AD")]
    public void WhatIsNoHashIsNoPath(string text) =>
        Assert.Throws<ArgumentException>(() => new OriginalVault(new DataFolder(_path)).PathOf(text));

    [Theory]
    [InlineData("../../../etc/passwd", "passwd")]
    [InlineData("C:\\Users\\x\\track.gpx", "track.gpx")]
    [InlineData("..", "file")]
    [InlineData("/", "file")]
    [InlineData("<img src=x onerror=alert(1)>.gpx", "<img src=x onerror=alert(1)>.gpx")]
    [InlineData("a\u202Egpx.exe", "agpx.exe")]
    [InlineData("a\u0000\u0007\r\nb.vtt", "ab.vtt")]
    [InlineData("", "file")]
    public void ANameIsForReadingAndNeverAPath(string given, string shown) => Assert.Equal(shown, Store.CleanName(given, "file"));

    [Fact]
    public void ALongNameKeepsItsEnding()
    {
        string clean = Store.CleanName(new string('ä', 127) + "😀" + new string('x', 100) + ".gpx", "file");
        Assert.Equal(120, clean.Length);
        Assert.EndsWith(".gpx", clean, StringComparison.Ordinal);
        Assert.Equal(clean, Encoding.UTF8.GetString(Encoding.UTF8.GetBytes(clean)));
    }

    [Fact]
    public void AnyNameComesOutShortAndWithoutFolders() =>
        CsCheck.Check.Sample(CsCheck.Gen.String, name =>
        {
            string clean = Store.CleanName(name, "file");
            return clean.Length is > 0 and <= 120 && clean.IndexOfAny(['/', '\\', '\0', '\n', '\u202E']) < 0 && clean is not ("." or "..");
        });

    private sealed class BrokenStream : MemoryStream
    {
        private int _reads;

        public override ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default)
        {
            if (_reads++ > 3)
            {
                throw new IOException("The line went dead.");
            }

            RandomNumberGenerator.Fill(buffer.Span[..100]);
            return ValueTask.FromResult(100);
        }
    }
}
