"""The low-pass filter that a dense signal passes before it is sampled at the 48 kHz times of the vectors.

A continuous-time kernel, the same in band-limit.ts:

  h(tau) = sinc(2 fc tau) I0(beta sqrt(1 - (tau / H)^2)) / I0(beta)   for |tau| <= H, else 0
  fc = 22 kHz, H = 1 ms, beta = 0.1102 (A - 8.7), A = 2.285 * 2 pi * 4 kHz * 2 H + 8 = 122.9 dB

The passband ends at 20 kHz, the stopband begins at 24 kHz (Kaiser's design formulas). Applied as
y(t) = sum_j h(t - t_j) x_j / sum_j h(t - t_j) over all samples of the dense signal within H of t.
The division makes the gain at 0 Hz exactly one at every rate.
"""

import math

import numpy as np

OUTPUT_RATE_HZ = 48000
CUTOFF_HZ = 22000.0
HALF_WIDTH_S = 1e-3
ATTENUATION_DB = 2.285 * 2 * math.pi * 4000.0 * 2 * HALF_WIDTH_S + 8
KAISER_BETA = 0.1102 * (ATTENUATION_DB - 8.7)


def kernel(tau_s):
    """Kernel at an array of times, s; 1 at zero."""
    inside = np.clip(1 - (tau_s / HALF_WIDTH_S) ** 2, 0, None)
    window = np.i0(KAISER_BETA * np.sqrt(inside)) / np.i0(KAISER_BETA)
    return np.where(np.abs(tau_s) <= HALF_WIDTH_S, np.sinc(2 * CUTOFF_HZ * tau_s) * window, 0.0)


def band_limit(dense, factor):
    """Samples at 48 kHz of a dense signal at 48 kHz * factor whose first sample is at t = 0.

    Returns the instants k / 48 kHz for k = 48 ... last, those whose kernel is completely inside the signal.
    """
    reach = round(HALF_WIDTH_S * OUTPUT_RATE_HZ) * factor
    taps = kernel(np.arange(-reach, reach + 1) / (OUTPUT_RATE_HZ * factor))
    taps /= taps.sum()
    return np.convolve(dense, taps, mode="valid")[::factor]
