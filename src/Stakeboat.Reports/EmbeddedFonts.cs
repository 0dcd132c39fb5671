using PdfSharp.Fonts;

namespace Stakeboat.Reports;

/// <summary>The one family that printed things are set in, carried inside the program so that every machine prints alike.</summary>
public sealed class EmbeddedFonts : IFontResolver
{
    public const string Family = "Atkinson Hyperlegible Next";

    private static readonly Lock s_gate = new();

    /// <summary>Makes the family known to the PDF library, once a process.</summary>
    public static void Use()
    {
        lock (s_gate)
        {
            GlobalFontSettings.FontResolver ??= new EmbeddedFonts();
        }
    }

    public FontResolverInfo? ResolveTypeface(string familyName, bool bold, bool italic) => new(bold ? "Bold" : "Regular", false, italic);

    public byte[]? GetFont(string faceName)
    {
        using var stream = typeof(EmbeddedFonts).Assembly.GetManifestResourceStream($"Stakeboat.Reports.Fonts.AtkinsonHyperlegibleNext-{faceName}.ttf")
            ?? throw new InvalidOperationException($"The font {faceName} is missing in this build.");
        byte[] bytes = new byte[stream.Length];
        stream.ReadExactly(bytes);
        return bytes;
    }
}
