using Stakeboat.Words.Recognisers;

namespace Stakeboat.Words.Tests;

public class CommandDescriptionTests
{
    [Fact]
    public void ALineOfTheSettingsIsRead()
    {
        var d = CommandDescription.Parse("mine | hear --in {wav} [--lm {lm}] --out {out} | vtt");
        Assert.Equal("mine", d.Name);
        Assert.Equal(["hear", "--in", "{wav}", "--out", "{out}"], d.Arguments);
        Assert.Equal(["--lm", "{lm}"], d.ModelArguments);
        Assert.Equal("vtt", d.Answer);
    }

    [Theory]
    [InlineData("hear {wav}", "name | command line | answer")]
    [InlineData("mine | hear {wav} | text", "one of words, ctm, vtt, srt, json")]
    [InlineData("mine | hear | words", "{wav}")]
    [InlineData("mine | hear {wav} {list} | words", "{wav}")]
    [InlineData("mine | hear {list} | words", "ctm")]
    [InlineData("mine | hear {wav} | ctm", "{list}")]
    [InlineData("mine | hear {wav} [--lm | words", "opens with [")]
    public void ALineThatSaysTooLittleIsNamed(string line, string sentence) =>
        Assert.Contains(sentence, Assert.Throws<FormatException>(() => CommandDescription.Parse(line)).Message);

    [Fact]
    public void WordLinesAreRead_SilencesAndNoiseAreNot()
    {
        using var r = new CommandRecogniser(CommandDescription.Parse("mine | hear {wav} | words"));
        var words = r.Parse("up two seats\n<s> 0.000 0.150 1.0\nup 0.160 0.300 0.91\ntwo(2) 0.310 0.500 0.44\n[NOISE] 0.510 0.600 0.9\nseats 0.610 0.900 0.99\n</s> 0.910 1.0 1.0\n");
        Assert.Equal(["up", "two", "seats"], words.Select(w => w.Text));
        Assert.Equal(0.44, words[1].Probability);
        Assert.Equal(0.61, words[2].Start);
    }

    [Fact]
    public void ManySoundsAtOnceAreAnsweredByName()
    {
        var words = CommandRecogniser.ParseCtm("s000 1 0.10 0.32 up 0.9\ns000 1 0.42 0.20 two(2) 0.4\ns002 1 0.00 0.30 <sil> 1.0\ns002 1 0.31 0.20 level\n");
        Assert.Equal(["up", "two"], words["s000"].Select(w => w.Text));
        Assert.Equal(0.62, words["s000"][1].End, 9);
        Assert.Null(Assert.Single(words["s002"]).Probability);
        Assert.False(words.ContainsKey("s001"));
    }

    [Theory]
    [InlineData("vtt", "WEBVTT\n\n00:00:01.000 --> 00:00:03.000\nup two\n")]
    [InlineData("srt", "1\n00:00:01,000 --> 00:00:03,000\nup two\n")]
    [InlineData("json", "{\"segments\":[{\"start\":1,\"end\":3,\"text\":\"up two\",\"words\":[{\"word\":\"up\",\"start\":1,\"end\":2,\"probability\":0.5},{\"word\":\"two\",\"start\":2,\"end\":3,\"probability\":0.5}]}]}")]
    public void OtherFormsOfAnswerAreRead(string form, string answer)
    {
        using var r = new CommandRecogniser(CommandDescription.Parse($"mine | hear {{wav}} | {form}"));
        var words = r.Parse(answer);
        Assert.Equal(["up", "two"], words.Select(w => w.Text));
        Assert.Equal(1, words[0].Start, 6);
        Assert.Equal(2, words[1].Start, 6);
    }

    [Fact]
    public void AMissingCommandIsASentence()
    {
        using var r = new CommandRecogniser(CommandDescription.Parse("mine | no-such-program-here {wav} | words"));
        Assert.False(r.Check().Ready);
        Assert.Contains("no-such-program-here", Assert.Throws<RecogniserException>(() => r.Recognise(new float[100], RecogniserHints.None, default)).Message);
    }
}
