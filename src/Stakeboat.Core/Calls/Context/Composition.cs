namespace Stakeboat.Core.Calls.Context;

/// <summary>
/// What the words in and around a proposal mean, by parts: who is spoken of (we, I, they, a crew), how (up, down, level), with regard to
/// whom (us, them, a crew), in what unit, under what verb, and whether it is denied, past, wished or taken back. Words of one sense count as
/// one, so that a wording never seen before still adds up.
/// </summary>
internal sealed class Composition
{
    private const int Back = 7, Ahead = 4;

    private static readonly Dictionary<string, char> Who = Senses(
        ('w', "we we're we've we'll you you're you've yous us we'd ya"), ('i', "i i'm i've me my mine i'll i'd"), ('t', "they they're they've they'll he's she's he she it's it they'd this these that that's"),
        ('c', "<crew>"), ('o', "our ours"), ('h', "their theirs his her its"));

    private static readonly Dictionary<string, char> How = Senses(
        ('u', "up ahead front lead leads leading led good clear winning beat beating hand better past"), ('d', "down behind back trail trails trailing trailed astern adrift off losing deficit shy chasing bad arrears"),
        ('l', "level even tied together square same abreast equal evens identical parity inseparable"));

    private static readonly Dictionary<string, char> Unit = Senses(
        ('s', "seat seats"), ('l', "length lengths"), ('c', "canvas canvases deck"), ('m', "metre metres meter meters foot feet inch inches m"), ('o', "open water daylight overlap contact"),
        ('t', "second seconds minute minutes"), ('k', "stroke strokes"), ('b', "beat beats pip pips point points click clicks rate"), ('p', "bow ball stern cox coxswain rudder nose man girl woman pair"));

    private static readonly Dictionary<string, char> Verb = Senses(
        ('w', "give gimme want need get bring find show put send let's like love buy fetch grab deliver expect wanna"), ('g', "took gained got stole nicked walked gain take taken won eaten ate pulled clawed picked made stolen"),
        ('x', "lost gave given shipped dropped giving lose losing leaked conceded coughed surrendered bled"), ('h', "have has had hold holds own owns holding"),
        ('m', "walking moving going coming inching creeping gaining closing rowing pulling pushing crawling edging stealing opening stretching growing reeling eating catching walk move"),
        ('r', "falling slipping fading dropping drifting cracking dying sliding slowing tiring sinking"), ('s', "sitting sit sits stay lying lies sat parked still hold"), ('y', "goes go gone went sprint lifting kicking surging push attack"));

    private static readonly Dictionary<string, char> Turn = Senses(
        ('n', "not no never isn't don't won't without nobody wasn't aren't ain't can't didn't haven't nothing none zero"), ('f', "if when would could should will gonna unless until before once might"),
        ('p', "was were yesterday last week year been used had coach earlier"), ('q', "who what where how why which is are did"));

    private static readonly HashSet<string> TakenBack = new(StringComparer.Ordinal)
    {
        "wait", "wrong", "correction", "scratch", "sorry", "nah", "nope", "mean", "no", "rather", "actually", "make", "oops", "strike", "error", "misread",
    };

    private static readonly HashSet<string> Still = new(StringComparer.Ordinal)
    {
        "now", "only", "still", "just", "there's", "that's", "it's", "make", "called", "to", "from", "is", "and", "then", "yes", "yep", "another", "more", "one",
    };

    private readonly IReadOnlyList<(string Word, int Token)> _path;
    private readonly char[] _who, _how, _unit, _verb, _turn;
    private readonly bool[] _breaks;

    public Composition(IReadOnlyList<(string Word, int Token)> path, IReadOnlyList<Learned.CallToken> tokens)
    {
        _path = path;
        int n = path.Count;
        (_who, _how, _unit, _verb, _turn, _breaks) = (new char[n], new char[n], new char[n], new char[n], new char[n], new bool[n]);
        for (int i = 0; i < n; i++)
        {
            string w = path[i].Word;
            string stem = w.EndsWith("'s", StringComparison.Ordinal) ? w[..^2] : w;
            _who[i] = Of(Who, w, w);
            _how[i] = Of(How, w, stem);
            _unit[i] = Of(Unit, w, stem);
            _verb[i] = Of(Verb, w, stem);
            _turn[i] = Of(Turn, w, stem);
            _breaks[i] = tokens[path[i].Token].BreakBefore && (i == 0 || path[i - 1].Token < path[i].Token);
        }
    }

    private static char Of(Dictionary<string, char> senses, string word, string stem) => senses.TryGetValue(word, out char c) || senses.TryGetValue(stem, out c) ? c : '-';

    /// <summary>How many numbers a composition gives.</summary>
    public const int Size = 17;

    private const string WhoCodes = "-witcoh", HowCodes = "-udl", UnitCodes = "-slcmotkbp", VerbCodes = "-wgxhmrsy", TurnCodes = "-nfpq";

    /// <summary>What the words [first, last) of the path and those beside them mean, as numbers for the trees of the second look.</summary>
    public void Of(int first, int last, Span<float> into)
    {
        char subject = '-', second = '-', from = '-', obj = '-', how = '-', howAfter = '-', howBefore = '-', unit = '-', unitAfter = '-', unitBefore = '-', verb = '-', verbIn = '-', turn = '-', det = '-';
        int inside = 0;
        for (int i = first; i < last; i++)
        {
            if (_who[i] != '-')
            {
                if (subject == '-')
                {
                    (subject, from) = (_who[i], 'i');
                }
                else
                {
                    obj = _who[i];
                }
            }

            how = how == '-' ? _how[i] : how;
            unit = unit == '-' ? _unit[i] : unit;
            verbIn = verbIn == '-' ? _verb[i] : verbIn;
            inside++;
        }

        bool crossed = false;
        if (first < _breaks.Length && _breaks[first])
        {
            crossed = true;
        }

        for (int i = first - 1; i >= 0 && i >= first - Back; i--)
        {
            if (_who[i] != '-')
            {
                if (subject == '-')
                {
                    (subject, from) = (_who[i], crossed ? 'x' : 'b');
                }
                else if (second == '-')
                {
                    second = _who[i];
                }
            }

            if (i >= first - 3)
            {
                howBefore = howBefore == '-' ? _how[i] : howBefore;
                unitBefore = unitBefore == '-' ? _unit[i] : unitBefore;
            }

            if (i >= first - 4)
            {
                verb = verb == '-' ? _verb[i] : verb;
            }

            if (i >= first - 5)
            {
                turn = turn == '-' ? _turn[i] : turn;
            }

            if (i == first - 1)
            {
                det = _who[i] is 'o' or 'h' or 'i' or 'c' ? _who[i] : _path[i].Word is "the" or "a" ? 'a' : '-';
            }

            crossed |= _breaks[i];
        }

        bool end = false, taken = false;
        char objAfter = '-';
        for (int i = last; i < _path.Count && i < last + Ahead + 2; i++)
        {
            end |= _breaks[i];
            if (i < last + Ahead)
            {
                if (objAfter == '-' && _who[i] != '-')
                {
                    objAfter = end ? char.ToUpperInvariant(_who[i]) : _who[i];
                }

                howAfter = howAfter == '-' && _how[i] != '-' ? end ? char.ToUpperInvariant(_how[i]) : _how[i] : howAfter;
                unitAfter = unitAfter == '-' && !end ? _unit[i] : unitAfter;
            }

            taken |= TakenBack.Contains(_path[i].Word);
        }

        bool still = false, after = false;
        for (int i = Math.Max(0, first - 2); i < first; i++)
        {
            still |= Still.Contains(_path[i].Word);
        }

        for (int i = Math.Max(0, first - 4); i < first; i++)
        {
            after |= TakenBack.Contains(_path[i].Word);
        }

        if (inside > 0 && _verb[first] == 'w')
        {
            verb = 'w';
        }

        into[0] = Code(WhoCodes, subject);
        into[1] = from switch { 'i' => 3, 'b' => 2, 'x' => 1, _ => 0 };
        into[2] = Code(WhoCodes, second);
        into[3] = Code(HowCodes, how);
        into[4] = Code(HowCodes, howAfter);
        into[5] = Code(HowCodes, howBefore);
        into[6] = Code(WhoCodes, obj);
        into[7] = Code(WhoCodes, objAfter);
        into[8] = Code(UnitCodes, unit);
        into[9] = Code(UnitCodes, unitAfter);
        into[10] = Code(UnitCodes, unitBefore);
        into[11] = Code(VerbCodes, verbIn);
        into[12] = Code(VerbCodes, verb);
        into[13] = Code(TurnCodes, turn);
        into[14] = (taken ? 1 : 0) + (after ? 2 : 0);
        into[15] = still ? 1 : 0;
        into[16] = det == 'a' ? 9 : Code(WhoCodes, det);
    }

    /// <summary>Place of a sense in its list; what stands behind a break counts minus.</summary>
    private static float Code(string codes, char sense) => char.IsAsciiLetterUpper(sense) ? -codes.IndexOf(char.ToLowerInvariant(sense), StringComparison.Ordinal) : codes.IndexOf(sense, StringComparison.Ordinal);

    private static Dictionary<string, char> Senses(params (char Sense, string Words)[] senses)
    {
        var d = new Dictionary<string, char>(StringComparer.Ordinal);
        foreach (var (sense, words) in senses)
        {
            foreach (string w in words.Split(' '))
            {
                d.TryAdd(w, sense);
            }
        }

        return d;
    }
}
