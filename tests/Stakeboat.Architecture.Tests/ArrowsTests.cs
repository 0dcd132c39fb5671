using System.Reflection;
using System.Text.Json.Serialization;

namespace Stakeboat.Architecture.Tests;

public class ArrowsTests
{
    private static Assembly[] Source() =>
        [.. Directory.EnumerateFiles(AppContext.BaseDirectory, "*.dll")
            .Where(f => Path.GetFileNameWithoutExtension(f) is var n
                && (n == "stakeboat" || (n.StartsWith("Stakeboat.", StringComparison.Ordinal) && !n.EndsWith(".Tests", StringComparison.Ordinal))))
            .Select(Assembly.LoadFrom)];

    [Fact]
    public void NoForbiddenArrowStandsInTheHouse()
    {
        var source = Source();
        Assert.Contains(source, a => a.GetName().Name == "Stakeboat.Core");
        Assert.Contains(source, a => a.GetName().Name == "stakeboat");
        var arrows = Arrows.Of(source);
        Assert.NotEmpty(arrows);
        Assert.Empty(House.Broken(arrows));
    }

    [Theory]
    [InlineData("Plans must not look at Strokes")]
    [InlineData("Calls must not look at Margins")]
    [InlineData("Signals must not look at Boats")]
    [InlineData("Stakeboat.Readers must not look at Stakeboat.Core.Calls")]
    public void APlantedViolationIsFound(string sentence) =>
        Assert.Contains(House.Broken(Arrows.Of(typeof(ArrowsTests).Assembly)), b => b.StartsWith(sentence, StringComparison.Ordinal));

    [Fact]
    public void CoreReferencesNothingButTheFramework()
    {
        var core = Source().Single(a => a.GetName().Name == "Stakeboat.Core");
        Assert.All(core.GetReferencedAssemblies(), r => Assert.StartsWith("System.", r.Name));
    }

    [Fact]
    public void NoDomainTypeIsSerialisedDirectly() => Assert.Empty(DomainTypesIn(typeof(Exchange.Debriefs.DebriefDocument).Assembly));

    [Fact]
    public void APlantedDomainTypeInADocumentIsFound() =>
        Assert.Contains(DomainTypesIn(typeof(ArrowsTests).Assembly), s => s.Contains("PlantedPart.Boat", StringComparison.Ordinal));

    /// <summary>Properties of exchange documents, and roots of serialisers, whose type belongs to Core.</summary>
    private static List<string> DomainTypesIn(Assembly assembly)
    {
        var found = new List<string>();
        foreach (var type in assembly.GetTypes().Where(t => t.Namespace?.StartsWith("Stakeboat.Exchange", StringComparison.Ordinal) == true))
        {
            bool document = type.Name.EndsWith("Part", StringComparison.Ordinal) || type.Name.EndsWith("Document", StringComparison.Ordinal)
                || type.Name.EndsWith("Columns", StringComparison.Ordinal);
            if (document)
            {
                found.AddRange(type.GetProperties().Where(p => Mentions(p.PropertyType)).Select(p => $"{type.Name}.{p.Name}"));
            }

            foreach (var root in type.GetCustomAttributesData().Where(a => a.AttributeType == typeof(JsonSerializableAttribute)))
            {
                if (root.ConstructorArguments[0].Value is Type t && Mentions(t))
                {
                    found.Add($"{type.Name} serialises {t.Name}");
                }
            }
        }

        return found;
    }

    private static bool Mentions(Type type) =>
        type.Namespace?.StartsWith("Stakeboat.Core", StringComparison.Ordinal) == true
        || (type.IsGenericType && type.GetGenericArguments().Any(Mentions))
        || (type.HasElementType && Mentions(type.GetElementType()!));
}
