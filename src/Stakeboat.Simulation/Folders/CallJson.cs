using System.Globalization;
using System.Text.Json;
using Stakeboat.Core.Calls;
using Stakeboat.Simulation.Talk;

namespace Stakeboat.Simulation.Folders;

/// <summary>A labelled call as one line of JSON, with the fields of the labelled races.</summary>
internal static class CallJson
{
    public static void Write(Utf8JsonWriter w, TrueCall call)
    {
        w.WriteStartObject();
        w.WriteNumber("t", Math.Round(call.Time, 2));
        Fields(w, call.Call);
        w.WriteString("text", call.Line);
        w.WriteEndObject();
    }

    private static void Fields(Utf8JsonWriter w, Call call)
    {
        void Type(string name) => w.WriteString("type", name);
        void Text(string name, string? value) => w.WriteString(name, value);
        void Number(string name, double? value)
        {
            if (value is { } v)
            {
                w.WriteNumber(name, v);
            }
            else
            {
                w.WriteNull(name);
            }
        }

        switch (call)
        {
            case RateCall c: Type("rate"); Number("spm", c.Spm); Text("sense", Word(c.Sense)); break;
            case RateChangeCall c: Type("rateChange"); Number("by", c.By); Number("inStrokes", c.InStrokes); Number("overStrokes", c.OverStrokes); break;
            case PaceCall c: Type("pace"); Number("secPer500", c.SecPer500); break;
            case DistanceCall c: Type("distance"); Number("metres", c.Metres); Text("sense", Word(c.Sense)); break;
            case TimeCall c: Type("time"); Number("seconds", c.Seconds); Text("sense", Word(c.Sense)); break;
            case StrokesToCall c: Type("strokesTo"); Number("strokes", c.Strokes); Text("to", Word(c.To)); break;
            case CountCall c: Type("count"); Number("n", c.N); break;
            case MarginCall c:
                Type("margin"); Text("crew", c.Crew); Text("our", c.Our); Text("their", c.Their); Number("seats", c.Seats); Number("lengths", c.Lengths);
                if (c.Metres is not null)
                {
                    Number("metres", c.Metres);
                }

                w.WriteBoolean("openWater", c.OpenWater); Text("side", c.Side is { } side ? Word(side) : null);
                if (c.Mirror)
                {
                    w.WriteBoolean("mirror", true);
                }

                break;
            case WantCall c: Type("want"); Text("crew", c.Crew); Number("seats", c.Seats); Text("their", c.Their); break;
            case TrendCall c: Type("trend"); Text("crew", c.Crew); Text("who", Word(c.Who)); Number("seats", c.Seats); break;
            case RivalMoveCall c: Type("rivalMove"); Text("crew", c.Crew); break;
            case MoveCall c: Type("move"); Number("strokes", c.Strokes); Text("purpose", c.Purpose); break;
            case ShiftCall c: Type("shift"); Text("to", Word(c.To)); break;
            case CommandCall c: Type("command"); Text("do", Word(c.Do)); Text("who", c.Who); break;
            case SteerCall c: Type("steer"); Text("side", Word(c.Side)); Text("how", Word(c.How)); break;
            case TechniqueCall c: Type("technique"); Text("topic", Word(c.Topic)); break;
            case ConditionsCall c: Type("conditions"); Text("what", Word(c.What)); break;
            case SpiritCall: Type("spirit"); break;
            default: throw new InvalidOperationException("A call of the type " + call.GetType().Name + " has no form in the folder.");
        }
    }

    private static string Word<T>(T value)
        where T : struct, Enum
    {
        string name = value.ToString();
        return char.ToLower(name[0], CultureInfo.InvariantCulture) + name[1..];
    }
}
