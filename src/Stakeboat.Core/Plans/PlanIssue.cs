namespace Stakeboat.Core.Plans;

/// <summary>How much a remark on a plan matters.</summary>
public enum PlanSeverity
{
    /// <summary>Worth a thought; the plan stands.</summary>
    Remark,

    /// <summary>The plan contradicts itself or cannot be read; it is not compiled.</summary>
    Error,
}

/// <summary>Something about a plan that its writer should know.</summary>
/// <param name="Line">1-based line of the plan's text; 0 where the plan as a whole is meant.</param>
/// <param name="Column">1-based column of the word that is meant; 1 where the whole line is.</param>
/// <param name="Code">A short fixed name of the kind of issue, for machines and tests.</param>
/// <param name="Sentence">What is wrong, with the arithmetic, in the plan's own units.</param>
public sealed record PlanIssue(int Line, int Column, PlanSeverity Severity, string Code, string Sentence);
