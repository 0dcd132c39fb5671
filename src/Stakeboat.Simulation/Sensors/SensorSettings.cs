using Stakeboat.Core.Time;

namespace Stakeboat.Simulation.Sensors;

/// <summary>A satellite receiver in the boat, beside the coxswain or the aftmost rower.</summary>
public sealed record SatelliteSensor
{
    /// <summary>Fixes a second.</summary>
    public double Hertz { get; init; } = 5;

    /// <summary>Slow error of each axis, m, and its memory, s.</summary>
    public double SlowSd { get; init; } = 1.2;
    public double SlowMemory { get; init; } = 40;

    /// <summary>Error of each axis that is new in each fix, m.</summary>
    public double WhiteSd { get; init; } = 0.15;

    /// <summary>Share of fixes that jump by 8 to 40 m.</summary>
    public double SpikeShare { get; init; } = 0.0015;

    /// <summary>Gaps an hour, each of 4 to 12 s.</summary>
    public double GapsPerHour { get; init; } = 2;

    /// <summary>The receiver's own speed (Doppler) with this standard deviation, m/s; null: none given.</summary>
    public double? SpeedSd { get; init; }

    /// <summary>Share of the receiver's speeds that are wrong by 1.5 to 6 m/s.</summary>
    public double SpeedSpikeShare { get; init; } = 0.005;

    /// <summary>What the recording's clock reads late of true time at its zero, s, and its drift, s/s.</summary>
    public double ClockOffset { get; init; } = 0.8;
    public double ClockDrift { get; init; } = 1.2e-5;
}

/// <summary>A phone's accelerometer, fixed to the hull at an arbitrary tilt.</summary>
public sealed record MotionSensor
{
    public double Hertz { get; init; } = 50;

    /// <summary>Angular velocity as well.</summary>
    public bool Gyroscope { get; init; }

    /// <summary>Phone in the hull's frame, degrees: about the keel, about the beam, about the upright.</summary>
    public double TiltRoll { get; init; } = 12;
    public double TiltPitch { get; init; } = 38;
    public double TiltYaw { get; init; } = 25;

    /// <summary>Drift of each tilt, degrees a minute.</summary>
    public double TiltDriftPerMinute { get; init; } = 0.3;

    /// <summary>m/s² on each axis.</summary>
    public double Bias { get; init; } = 0.12;

    /// <summary>White noise of each axis, m/s².</summary>
    public double NoiseSd { get; init; } = 0.4;

    /// <summary>Motion from waves and wash, m/s², at 0.8 to 4 Hz, strongest up and down.</summary>
    public double WashSd { get; init; } = 0.3;

    /// <summary>Roll of the hull, degrees, with a memory of a stroke.</summary>
    public double RollSd { get; init; } = 0.8;

    /// <summary>Gyroscope noise, rad/s, and bias.</summary>
    public double GyroNoiseSd { get; init; } = 0.01;
    public double GyroBias { get; init; } = 0.004;

    /// <summary>The log's clock at the recording's zero, s, and its drift, s/s.</summary>
    public double ClockOffset { get; init; } = 3.7;
    public double ClockDrift { get; init; } = -2.0e-5;
}

internal static class SensorClocks
{
    public static ClockMap<RecordingClock, SatelliteClock> Satellite(double startUnixSeconds, SatelliteSensor? sensor) =>
        new(startUnixSeconds + (sensor?.ClockOffset ?? 0), sensor?.ClockDrift ?? 0, 0, 0, 0, "simulated");

    public static ClockMap<RecordingClock, MotionClock> Motion(MotionSensor? sensor) =>
        new(sensor?.ClockOffset ?? 0, sensor?.ClockDrift ?? 0, 0, 0, 0, "simulated");
}
