"""Test signals: exact functions of continuous time in volts, zero before t = 0.

The same formulas are in signals.ts.

  sine      A sin(2 pi f t)
  plucked   A / P * (1 - exp(-t / 0.3 ms)) * sum over n = 1..8 of
              a_n exp(-8 n t / s) sin(2 pi f_n t),   a_n = sin(0.19 pi n) / n,
              f_n = 196 Hz * n * sqrt(1 + 1e-4 n^2),   P = peak of the rest for t < 26 ms
  step      A / 2 * (1 + tanh((t - 2 ms) / 20 us))

The step is smooth: with an ideal step the result would depend mainly on its place between two samples. It rises from 10
to 90 % in 44 us, about as fast as a signal at 48 kHz can. Above 120 kHz its spectrum is 170 dB below that of an ideal
step.
"""

import math
from typing import NamedTuple

DURATION_S = 0.026
# Thirty periods of 5 kHz after the low-pass, which take SciPy as long as a hundred of 1 kHz.
HIGH_DURATION_S = 0.008
# After the peak of the plucked signal, at 4.6 ms.
KNOB_DURATION_S = 0.014
STEP_AT_S = 2e-3
STEP_RISE_S = 20e-6
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


class TestSignal(NamedTuple):
    """One input of the reference and its duration."""

    name: str
    kind: str
    frequency_hz: float | None
    peak_v: float
    duration_s: float


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


def step(peak_v):
    def signal(t):
        return peak_v / 2 * (1 + math.tanh((t - STEP_AT_S) / STEP_RISE_S)) if t > 0 else 0.0

    return signal


def all_signals():
    """The sixteen inputs of every preset: first those up to 1 kHz and 1 V, then more difficult ones."""
    for peak_v in PEAKS_V:
        for frequency_hz in SINES_HZ:
            yield _sine(frequency_hz, peak_v, DURATION_S)
        yield TestSignal(f"plucked-{peak_v:g}V", "plucked", None, peak_v, DURATION_S)
    yield _sine(1000.0, 2.0, DURATION_S)
    yield _sine(5000.0, 0.2, HIGH_DURATION_S)
    yield _sine(5000.0, 1.0, HIGH_DURATION_S)
    yield TestSignal("step-0.2V", "step", None, 0.2, DURATION_S)


def knob_signals():
    """The two inputs of each knob position."""
    yield TestSignal("plucked-1V", "plucked", None, 1.0, KNOB_DURATION_S)
    yield _sine(440.0, 1.0, KNOB_DURATION_S)


def _sine(frequency_hz, peak_v, duration_s):
    return TestSignal(f"sine-{frequency_hz:g}Hz-{peak_v:g}V", "sine", frequency_hz, peak_v, duration_s)


def make(test):
    """The function of time, V of s."""
    if test.kind == "sine":
        return sine(test.peak_v, test.frequency_hz)
    return {"plucked": plucked, "step": step}[test.kind](test.peak_v)


def describe(test):
    """The signal as it is named in a vector file."""
    wave = {"name": test.name, "signal": test.kind, "peakV": test.peak_v}
    if test.frequency_hz is not None:
        wave["frequencyHz"] = test.frequency_hz
    return wave
