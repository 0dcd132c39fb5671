using BenchmarkDotNet.Running;
using Stakeboat.Bench.Margins;

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

BenchmarkSwitcher.FromAssembly(typeof(Program).Assembly).Run(args);
return 0;
