using System.Reflection;
using Mono.Cecil;
using Mono.Cecil.Cil;

namespace Stakeboat.Architecture.Tests;

/// <summary>Core formats no numbers: units and words are chosen at the edge.</summary>
public class FormattingTests
{
    [Fact]
    public void CoreFormatsNoNumbers() => Assert.Empty(Formatting(typeof(Core.Units.Distance).Assembly));

    [Fact]
    public void APlantedFormatIsFound() =>
        Assert.Contains(Formatting(typeof(FormattingTests).Assembly), m => m.Contains("PlantedLabel", StringComparison.Ordinal));

    /// <summary>
    /// Methods under Stakeboat.Core that give a number a format. Let through: ToString, methods that throw (sentences of errors),
    /// and Plans, whose reader must name a contradiction with its arithmetic at the line where it stands.
    /// </summary>
    private static List<string> Formatting(Assembly assembly)
    {
        using var module = ModuleDefinition.ReadModule(assembly.Location);
        return
        [
            .. module.GetTypes()
                .Where(t => (t.Namespace.Length > 0 ? t.Namespace : t.DeclaringType?.Namespace ?? "") is var ns
                    && ns.StartsWith("Stakeboat.Core", StringComparison.Ordinal) && !ns.StartsWith("Stakeboat.Core.Plans", StringComparison.Ordinal))
                .SelectMany(t => t.Methods)
                .Where(m => m.HasBody && m.Name is not ("ToString" or "PrintMembers") && !m.Body.Instructions.Any(i => i.OpCode == OpCodes.Throw))
                .Where(m => m.Body.Instructions.Any(i => i.Operand is MethodReference r && Formats(r)))
                .Select(m => m.FullName),
        ];
    }

    private static bool Formats(MethodReference called) =>
        (called.Name == "ToString" && called.DeclaringType.FullName is "System.Double" or "System.Single" or "System.Int32"
            && called.Parameters.Count > 0 && called.Parameters[0].ParameterType.FullName == "System.String")
        || (called.Name == "AppendFormatted" && called.Parameters.Count > 1);
}
