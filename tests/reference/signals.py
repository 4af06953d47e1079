"""Test signals: exact functions of continuous time in volts, zero before t = 0.

The same formulas stand in signals.ts.

  sine      A sin(2 pi f t)
  plucked   A / P * (1 - exp(-t / 0.3 ms)) * sum over n = 1..8 of
              a_n exp(-8 n t / s) sin(2 pi f_n t),   a_n = sin(0.19 pi n) / n,
              f_n = 196 Hz * n * sqrt(1 + 1e-4 n^2),   P = peak of the rest for t < 26 ms
"""

import math

DURATION_S = 0.026
SINES_HZ = (82.0, 440.0, 1000.0)
PEAKS_V = (0.05, 0.2, 1.0)
FUNDAMENTAL_HZ = 196.0
ATTACK_S = 0.3e-3
PLUCKED_PEAK = 1.308485288804057

PARTIALS = [
    (
        math.sin(0.19 * math.pi * n) / n,
        8.0 * n,
        2 * math.pi * FUNDAMENTAL_HZ * n * math.sqrt(1 + 1e-4 * n * n),
    )
    for n in range(1, 9)
]


def sine(peak_v, frequency_hz):
    omega = 2 * math.pi * frequency_hz

    def signal(t):
        return peak_v * math.sin(omega * t) if t > 0 else 0.0

    return signal


def plucked(peak_v):
    scale = peak_v / PLUCKED_PEAK

    def signal(t):
        if t <= 0:
            return 0.0
        total = 0.0
        for amplitude, rate, omega in PARTIALS:
            total += amplitude * math.exp(-rate * t) * math.sin(omega * t)
        return -scale * math.expm1(-t / ATTACK_S) * total

    return signal


def all_signals():
    """(name, kind, frequency or None, peak) of the twelve signals."""
    for peak_v in PEAKS_V:
        for frequency_hz in SINES_HZ:
            yield f"sine-{frequency_hz:g}Hz-{peak_v:g}V", "sine", frequency_hz, peak_v
        yield f"plucked-{peak_v:g}V", "plucked", None, peak_v


def make(kind, frequency_hz, peak_v):
    return sine(peak_v, frequency_hz) if kind == "sine" else plucked(peak_v)
