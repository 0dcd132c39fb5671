// Violations planted on purpose, in this test assembly only: each must be found by the rules that the house is held to.
#pragma warning disable MA0048, CA1812, CA1852
namespace Stakeboat.Core.Plans
{
    internal sealed class PlantedPlan
    {
        public Strokes.PlantedStroke? Arrow { get; set; }
    }
}

namespace Stakeboat.Core.Strokes
{
    internal sealed class PlantedStroke;
}

namespace Stakeboat.Core.Calls
{
    internal sealed class PlantedCall
    {
        public static object Look() => new Margins.PlantedMargin();
    }
}

namespace Stakeboat.Core.Margins
{
    internal sealed class PlantedMargin;

    internal static class PlantedLabel
    {
        public static string Of(double metres) => string.Create(System.Globalization.CultureInfo.InvariantCulture, $"{metres:0.0} m");
    }
}

namespace Stakeboat.Core.Signals
{
    internal sealed class PlantedFilter(Boats.PlantedBoat boat)
    {
        public object Look() => boat;
    }
}

namespace Stakeboat.Core.Boats
{
    internal sealed class PlantedBoat;
}

namespace Stakeboat.Readers.Planted
{
    internal sealed class PlantedReader
    {
        public Core.Calls.PlantedCall? Interprets { get; set; }
    }
}

namespace Stakeboat.Exchange.Planted
{
    internal sealed record PlantedPart(Core.Boats.PlantedBoat Boat);
}
