using Stakeboat.Core.Calls;
using Stakeboat.Core.Calls.Learned;

namespace Stakeboat.Core.Tests.Calls.Learned;

/// <summary>What must hold of the learned ear whatever it was trained on.</summary>
public sealed class LearnedEarPropertiesTests
{
    private static readonly EarContext Race = new(null, ["Quillbrook", "Tern Harbor"], "Quillbrook", "race", []);

    private static List<CallToken> Tokens(string text)
    {
        var list = new List<CallToken>();
        foreach (var w in text.Split(' '))
        {
            list.Add(new CallToken(w, list.Count == 0, 0));
        }

        return list;
    }

    [Fact]
    public void Nothing_gives_nothing() => Assert.Empty(LearnedEar.Default.Read([], Race));

    [Fact]
    public void A_plain_claim_is_read_with_its_fields()
    {
        var found = LearnedEar.Default.Read(Tokens("we're up two seats on quillbrook"), Race);
        Assert.Contains(found, c => c.Call is MarginCall { Crew: "Quillbrook", Seats: 2, Side: Side.Ahead } && c.Probability > .5);
    }

    [Fact]
    public void A_misheard_name_still_points_to_its_crew()
    {
        var found = LearnedEar.Default.Read(Tokens("down three seats on turn harbour"), Race);
        Assert.Contains(found, c => c.Call is MarginCall { Crew: "Tern Harbor", Seats: 3, Side: Side.Behind });
    }

    [Fact]
    public void A_long_stream_is_read_as_its_parts_are()
    {
        // 5 200 words: more than three pieces; the claim must be found wherever a piece ends.
        const string Line = "okay stay long and loose i'm on their six let the boat run under you";
        var words = Line.Split(' ');
        var tokens = new List<CallToken>();
        for (var k = 0; k < 350; k++)
        {
            for (var i = 0; i < words.Length; i++)
            {
                tokens.Add(new CallToken(words[i], i == 0, k));
            }
        }

        var found = LearnedEar.Default.Read(tokens, Race);
        var at = new HashSet<int>();
        foreach (var c in found)
        {
            if (c.Call is MarginCall { Their: "6" } && c.Probability > .3)
            {
                at.Add(c.Token / words.Length);
            }
        }

        Assert.True(at.Count >= 345, $"{at.Count} of 350");
    }

    [Fact]
    public void Probabilities_are_probabilities_and_tokens_are_in_order()
    {
        var found = LearnedEar.Default.Read(Tokens("thirty four half a length up and walking last ten one two three weigh enough"), Race);
        var last = 0;
        foreach (var c in found)
        {
            Assert.InRange(c.Probability, .02, 1);
            Assert.True(c.Token >= last);
            last = c.Token;
        }

        Assert.NotEmpty(found);
    }

    [Theory]
    [InlineData("")]
    [InlineData("’’’ .:/ 99999999999999 1:2:3 £ éèê 漢字 ''' a'b'c")]
    [InlineData("0 00 000 1/0 1.2.3 -5 +++ 12:345")]
    public void Odd_tokens_do_no_harm(string text)
    {
        foreach (var c in LearnedEar.Default.Read(Tokens(text), Race))
        {
            Assert.InRange(c.Probability, 0, 1);
        }
    }

    [Fact]
    public void No_crews_and_no_phase_are_allowed()
    {
        var found = LearnedEar.Default.Read(Tokens("half a length up"), new EarContext(null, [], null, null, []));
        Assert.Contains(found, c => c.Call is MarginCall { Crew: null });
    }
}
