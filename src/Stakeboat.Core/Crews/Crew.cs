using Stakeboat.Core.Boats;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Crews;

/// <summary>A rower or coxswain as the crew calls them. Nothing but a name is asked for.</summary>
public sealed record Person(string Name, Mass? Mass = null);

/// <summary>A word that means something to this crew alone: "anvil = ten for legs".</summary>
/// <param name="Word">What is said.</param>
/// <param name="Meaning">What it stands for, in the trade's plain words; empty where only the word itself is known (a landmark, a drill).</param>
public sealed record CrewWord(string Word, string Meaning);

/// <summary>The people of a boat by seat, and the words they use.</summary>
/// <param name="Name">The crew's name as a caller would say it.</param>
/// <param name="Boat">The hull they sit in.</param>
/// <param name="BySeat">People whose seat is known; 1 is bow.</param>
/// <param name="Names">First names in no certain order, for hearing them in captions.</param>
/// <param name="Words">The crew's own words.</param>
/// <param name="Cox">The coxswain where named.</param>
public sealed record Crew(
    string Name,
    BoatClass Boat,
    IReadOnlyDictionary<int, Person> BySeat,
    IReadOnlyList<string> Names,
    IReadOnlyList<CrewWord> Words,
    Person? Cox = null)
{
    public static Crew Named(string name, BoatClass boat) => new(name, boat, new Dictionary<int, Person>(), [], []);
}
