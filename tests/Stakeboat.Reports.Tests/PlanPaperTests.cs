using Stakeboat.Core.Plans;
using UglyToad.PdfPig;

namespace Stakeboat.Reports.Tests;

public sealed class PlanPaperTests
{
    private const string Text = """
        race Čölöñé final
        crew Tarn
        boat 8+
        distance 2000 m
        pace 1:34
        rate 35
        start: 1/2 3/4 full at 40
        high 20 strokes at 42
        settle 5 strokes
        base
        sprint last 300 m at 37, 39
        at 620 m: ten for legs at 37 in 2
        when they move: ten for hold
        """;

    private static CompiledPlan Plan => PlanCompiler.Compile(Text).Plan!;

    private static byte[] Made(Action<Stream> write)
    {
        using var memory = new MemoryStream();
        write(memory);
        return memory.ToArray();
    }

    [Fact]
    public void The_deck_card_is_A6_with_a_strip_and_its_text_is_text()
    {
        using var pdf = PdfDocument.Open(Made(s => PlanPaper.DeckCard(Plan, "2026-05-16", s)));
        Assert.Equal(2, pdf.NumberOfPages);
        var card = pdf.GetPage(1);
        Assert.Equal(105 / 25.4 * 72, card.Width, 0.5);
        Assert.Equal(148 / 25.4 * 72, card.Height, 0.5);
        Assert.Equal(210 / 25.4 * 72, pdf.GetPage(2).Width, 0.5);
        string text = card.Text;
        foreach (string word in (string[])["Čölöñé", "620", "42", "legs", "2026-05-16", "to go", "published"])
        {
            Assert.Contains(word, text, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void Only_the_embedded_family_is_used()
    {
        foreach (byte[] bytes in (byte[][])[Made(s => PlanPaper.DeckCard(Plan, "2026-05-16", s)), Made(s => PlanPaper.CrewSheet(Plan, "2026-05-16", s))])
        {
            using var pdf = PdfDocument.Open(bytes);
            foreach (var page in pdf.GetPages())
            {
                Assert.All(page.Letters, l => Assert.Contains("Atkinson", l.FontName, StringComparison.Ordinal));
            }

            Assert.Contains("FontFile2", System.Text.Encoding.Latin1.GetString(bytes), StringComparison.Ordinal);
        }
    }

    [Fact]
    public void Nothing_is_drawn_outside_the_paper()
    {
        using var pdf = PdfDocument.Open(Made(s => PlanPaper.DeckCard(Plan, "2026-05-16", s)));
        foreach (var page in pdf.GetPages())
        {
            Assert.All(page.Letters, l =>
            {
                Assert.InRange(l.BoundingBox.Left, -0.5, page.Width + 0.5);
                Assert.InRange(l.BoundingBox.Right, -0.5, page.Width + 0.5);
                Assert.InRange(l.BoundingBox.Bottom, -0.5, page.Height + 0.5);
            });
        }
    }

    [Fact]
    public void The_crew_sheet_is_A4_and_says_it_all()
    {
        using var pdf = PdfDocument.Open(Made(s => PlanPaper.CrewSheet(Plan, "2026-05-16", s)));
        var page = pdf.GetPage(1);
        Assert.Equal(210 / 25.4 * 72, page.Width, 0.5);
        Assert.Contains("what for", page.Text, StringComparison.Ordinal);
        Assert.Contains("when they move", page.Text, StringComparison.Ordinal);
    }

    [Fact]
    public void Lines_stand_in_the_order_of_the_course_and_rivals_last()
    {
        var lines = PlanPaperText.Lines(Plan);
        Assert.Equal("when they move", lines[^1].Where);
        Assert.Equal("620", lines.Single(l => l.Burst && l.What.Contains("legs", StringComparison.Ordinal)).Where);
        Assert.StartsWith("START", lines[0].What, StringComparison.Ordinal);
    }
}
