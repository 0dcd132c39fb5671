using Stakeboat.Words.Recognisers;

namespace Stakeboat.Words.Tests;

public class WordLatticeTests
{
    // "up two" against "up to", the second word from 0.40 to 0.70; "too" only its first third.
    private const string Lattice = """
        VERSION=1.0
        start=0
        end=5
        N=6	L=6
        I=0	t=0.00	W=!SENT_START	v=1
        I=1	t=0.10	W=up	v=1
        I=2	t=0.40	W=two	v=1
        I=3	t=0.40	W=to	v=2
        I=4	t=0.50	W=!NULL	v=1
        I=5	t=0.70	W=!SENT_END	v=1
        I=6	t=0.40	W=too(3)	v=1
        J=0	S=0	E=1	a=-1.0	p=1
        J=1	S=1	E=2	a=-1.0	p=0.5
        J=2	S=1	E=3	a=-1.0	p=0.3
        J=3	S=2	E=5	a=-1.0	p=0.5
        J=4	S=3	E=5	a=-1.0	p=0.3
        J=5	S=1	E=6	a=-1.0	p=0.2
        J=6	S=6	E=4	a=-1.0	p=0.2
        J=7	S=4	E=5	a=-1.0	p=0.2
        """;

    private static WordLattice Read() => WordLattice.Read(new StringReader(Lattice));

    [Fact]
    public void SharesAreTheMeanOfTheLinksOverTheFrames()
    {
        var shares = Read().In(0.4, 0.7);
        Assert.Equal(["two", "to", "too"], shares.Select(s => s.Text));
        Assert.Equal(0.5, shares[0].Probability, 9);
        Assert.Equal(0.3, shares[1].Probability, 9);
        Assert.Equal(0.2 / 3, shares[2].Probability, 9);
        Assert.Equal("up", Assert.Single(Read().In(0.15, 0.35)).Text);
    }

    [Fact]
    public void ABestWordGetsItsShareAndItsAlternatives()
    {
        var word = Read().Complete(new RecognisedWord(0.4, 0.7, "to", 0.9));
        Assert.Equal(0.3, word.Probability);
        Assert.Equal(["two", "too"], word.Alternatives!.Select(a => a.Text));
    }

    [Fact]
    public void LinesOfOtherKindsArePassedOver() => Assert.Empty(WordLattice.Read(new StringReader("I=x t=y\nJ=1 S=9 E=8 p=1\nsomething else\n")).In(0, 1));
}
