using ArchUnitNET.Domain;
using ArchUnitNET.Loader;


namespace Stakeboat.Architecture.Tests;

/// <summary>An arrow from one namespace to another with the types that make it.</summary>
public sealed record Arrow(string From, string To, string FromType, string ToType)
{
    public override string ToString() => $"{FromType} -> {ToType}";
}

/// <summary>Reads arrows off compiled assemblies.</summary>
public static class Arrows
{
    /// <summary>All arrows between namespaces under Stakeboat, as compiled. Constants are copied in by the compiler and leave no arrow.</summary>
    public static IReadOnlyList<Arrow> Of(params System.Reflection.Assembly[] assemblies)
    {
        var architecture = new ArchLoader().LoadAssemblies(assemblies).Build();
        return Of(architecture);
    }

    private static List<Arrow> Of(ArchUnitNET.Domain.Architecture architecture)
    {
        var arrows = new List<Arrow>();
        foreach (var type in architecture.Types)
        {
            foreach (var dependency in type.Dependencies)
            {
                string from = type.Namespace?.FullName ?? "", to = dependency.Target.Namespace?.FullName ?? "";
                if (from != to && from.StartsWith("Stakeboat", StringComparison.Ordinal))
                {
                    arrows.Add(new Arrow(from, to, type.FullName, dependency.Target.FullName));
                }
            }
        }

        return arrows;
    }
}
