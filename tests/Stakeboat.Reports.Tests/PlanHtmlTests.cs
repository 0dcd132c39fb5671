using System.Text.RegularExpressions;
using Stakeboat.Core.Plans;

namespace Stakeboat.Reports.Tests;

public sealed class PlanHtmlTests
{
    private const string Text = "race Final <A> & B\nboat 8+\ndistance 2000 m\npace 1:34\nrate 35\nhigh 20 strokes at 42\nsettle 5 strokes\nbase\nsprint last 300 m at 37, 38, 40\n"
        + "at 500 m: ten for legs in 2\nat half way: 20 strokes up 2 over 3 for their bow ball\nwhen they move: \"hold <them>\"";

    private static string Page(PlanPapers papers = PlanPapers.All) => PlanHtml.Page(PlanCompiler.Compile(Text).Plan!, "2026-05-16", papers);

    [Fact]
    public void Every_paper_has_its_own_size_and_says_what_it_assumes()
    {
        string page = Page();
        Assert.Equal(3, Regex.Count(page, "<section class=\"paper "));
        Assert.Contains("@page card{size:105mm 148mm;margin:0}", page);
        Assert.Contains("@page strip{size:210mm 40mm;margin:0}", page);
        Assert.Contains("@page sheet{size:210mm 297mm;margin:0}", page);
        Assert.Equal(3, Regex.Count(page, "Printed 2026-05-16"));
        Assert.Equal(1, Regex.Count(Page(PlanPapers.CrewSheet), "<section class=\"paper "));
    }

    [Fact]
    public void Words_are_words_and_nothing_is_fetched()
    {
        string page = Page();
        Assert.Contains("Final &lt;A&gt; &amp; B", page);
        Assert.DoesNotContain("<them>", page);
        Assert.DoesNotMatch("(src|href)=\"", page);
        Assert.DoesNotMatch("url\\((?!data:)", page);
        Assert.Equal(2, Regex.Count(page, "@font-face"));
    }

    [Fact]
    public void In_and_over_stand_on_the_papers_apart()
    {
        string page = Page(PlanPapers.DeckCard);
        Assert.Contains("10  legs  in 2", page);
        Assert.Contains("20  their bow ball  over 3", page);
    }
}
