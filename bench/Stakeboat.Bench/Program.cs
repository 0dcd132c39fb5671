using BenchmarkDotNet.Running;
using Stakeboat.Bench.Calls;
using Stakeboat.Bench.Margins;
using Stakeboat.Bench.Plan;

if (args is ["margins-calibration", ..])
{
    return MarginCalibration.Run(args[1..]);
}

if (args is ["margins-time"])
{
    return MarginBench.Time();
}

if (args is ["margins-corpus", ..])
{
    return MarginCorpus.Run(args[1..]);
}

if (args is ["pacing-time"])
{
    return PacingBench.Time();
}

if (args is ["ear-time"])
{
    return EarBench.Time();
}

BenchmarkSwitcher.FromAssembly(typeof(Program).Assembly).Run(args);
return 0;
