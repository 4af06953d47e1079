"""One wave of a circuit: integrated densely, band-limited, and on request checked by a second method."""

import sys

import numpy as np

import band_limit
import signals
from encoding import encode, error_db

# Dense samples in a 48 kHz period: 3.072 MHz. With half as many, aliasing of the corners changes the most difficult case
# (a clipped op-amp without diodes, 1 V) by up to -140 dB.
DENSE_FACTOR = 64
CONFIRMED_DB = -150.0


def dense_times(duration_s):
    """Times of the dense outputs, s."""
    count = round(duration_s * band_limit.OUTPUT_RATE_HZ) * DENSE_FACTOR + 1
    return np.arange(count) / (band_limit.OUTPUT_RATE_HZ * DENSE_FACTOR)


def waveform(circuit, rest, test, method="LSODA"):
    """Band-limited output at the 48 kHz times from k = 48, V."""
    states = circuit.transient(signals.make(test), dense_times(test.duration_s), method, rest)
    return band_limit.band_limit(circuit.outputs(states), DENSE_FACTOR)


def confirmation(circuit, rest, test, samples, where):
    """Difference between Radau, a Runge-Kutta method, and the multistep LSODA, dB. Raises if it is too large."""
    difference = error_db(waveform(circuit, rest, test, "Radau"), samples)
    if difference > CONFIRMED_DB:
        raise ArithmeticError(f"{where} {test.name}: Radau differs by {difference} dB")
    return difference


def describe(test):
    """Signal and length of a wave as named in a vector file."""
    return {**signals.describe(test), "durationSeconds": test.duration_s}


def record(test, samples, where):
    """The wave as stored in a vector file."""
    print(f"{where} {test.name}: peak {np.max(np.abs(samples)):.6f} V", file=sys.stderr, flush=True)
    return {**describe(test), "samplesBase64": encode(samples, "<f4")}


def header():
    """The common entries of a file's waves."""
    return {
        "sampleRateHz": band_limit.OUTPUT_RATE_HZ,
        "firstIndex": round(band_limit.HALF_WIDTH_S * band_limit.OUTPUT_RATE_HZ),
        "encoding": "base64 of little-endian float32, volts at the output after the low-pass",
    }
