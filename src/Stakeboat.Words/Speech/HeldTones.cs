using Stakeboat.Core.Signals;

namespace Stakeboat.Words.Speech;

/// <summary>
/// Whether the strongest tone between 150 and 3400 Hz stands still. A note of music stands for a quarter of a second and more; the
/// harmonics of speech glide with its melody and change with each syllable (own rule, after the steadiness features that tell music from
/// speech, Scheirer and Slaney 1997). Listens to 64 ms every 20 ms.
/// </summary>
internal sealed class HeldTones
{
    private const int Window = 1024, Hop = SpeechSound.Rate / 50;

    /// <summary>A tone is held when it stood still for this many hops.</summary>
    private const int Held = 12;

    private static readonly double[] s_hann = [.. Enumerable.Range(0, Window).Select(i => 0.5 - 0.5 * Math.Cos(2 * Math.PI * (i + 0.5) / Window))];

    private readonly Fourier _fourier = new(Window);
    private readonly double[] _ring = new double[Window], _re = new double[Window], _im = new double[Window];
    private readonly List<bool> _held = [];
    private int _at, _toHop = Window, _run;
    private double _last = double.NaN;

    /// <summary>A frame of 20 ms was part of a tone that stood still.</summary>
    public IReadOnlyList<bool> Frames => _held;

    public void Next(double x)
    {
        _ring[_at] = x;
        _at = (_at + 1) % Window;
        if (--_toHop == 0)
        {
            _toHop = Hop;
            Look();
        }
    }

    private void Look()
    {
        for (int i = 0; i < Window; i++)
        {
            _re[i] = _ring[(_at + i) % Window] * s_hann[i];
            _im[i] = 0;
        }

        _fourier.Forward(_re, _im);
        const int low = 150 * Window / SpeechSound.Rate, high = 3400 * Window / SpeechSound.Rate;
        double best = 0, left = 0, right = 0, here = 0, before = Power(low - 1);
        int bin = 0;
        here = Power(low);
        for (int k = low; k <= high; k++)
        {
            double next = Power(k + 1);
            if (here > best)
            {
                (best, bin, left, right) = (here, k, before, next);
            }

            (before, here) = (here, next);
        }

        // The peak between bins, from the logarithms of its neighbours.
        double a = Math.Log(left + 1e-20), b = Math.Log(best + 1e-20), c = Math.Log(right + 1e-20), bend = a - 2 * b + c;
        double peak = bin + (bend < 0 ? Math.Clamp(0.5 * (a - c) / bend, -0.5, 0.5) : 0);

        // Still: within a quarter tone (3 %) of the frame before.
        _run = Math.Abs(peak - _last) < 0.015 * peak ? _run + 1 : 0;
        _last = peak;
        _held.Add(_run >= Held);
        if (_run == Held)
        {
            for (int i = 1; i <= Held && i < _held.Count; i++)
            {
                _held[^(i + 1)] = true;
            }
        }
    }

    private double Power(int k) => _re[k] * _re[k] + _im[k] * _im[k];
}
