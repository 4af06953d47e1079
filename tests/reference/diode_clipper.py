"""Diode clipper with one state: 2.2 kohm from input to node, 10 nF and an antiparallel pair to ground.

  dVo/dt = (Vi - Vo)/(R C) - (2 I_S/C) sinh(Vo/nVt)        I_S = 2.52 nA, nVt = 45.3 mV

Yeh, Abel & Smith (DAFx-07); Yeh, Abel, Vladimirescu & Smith, Computer Music Journal 32(2) 2008. Ideal
junctions: no series resistance, no capacitance of their own, no minimum conductance.
"""

import math

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

OHMS, FARADS, SATURATION_A, NVT_V = 2.2e3, 10e-9, 2.52e-9, 45.3e-3
STATIC_V = (0.1, 0.5, 1.0, 2.0, 4.5, 9.0)
STEP_TIMES_S = (5e-6, 10e-6, 20e-6, 30e-6, 100e-6)
SINES = ((0.1, 1000.0), (1.0, 1000.0), (4.5, 110.0), (4.5, 1000.0), (4.5, 5000.0))


def _slope(vin, vout):
    return (vin - vout) / (OHMS * FARADS) - 2 * SATURATION_A / FARADS * math.sinh(vout / NVT_V)


def _integrate(signal, times_s):
    return solve_ivp(
        lambda t, y: [_slope(signal(t), y[0])],
        (0.0, times_s[-1]),
        [0.0],
        method="Radau",
        t_eval=times_s,
        rtol=1e-12,
        atol=1e-14,
    ).y[0]


def _sine(peak_v, frequency_hz):
    """Steady state over one period after four: peak, RMS, harmonics 1..7 (peak volts), THD_F."""
    count, settle = 4096, 4
    times = np.arange((settle + 1) * count) / count / frequency_hz
    omega = 2 * math.pi * frequency_hz
    period = _integrate(lambda t: peak_v * math.sin(omega * t), times)[settle * count :]
    harmonics = 2 * np.abs(np.fft.rfft(period)) / count
    thd = math.sqrt(float(np.sum(harmonics[2:200] ** 2))) / float(harmonics[1])
    return {
        "peakV": peak_v,
        "frequencyHz": frequency_hz,
        "outputPeakV": float(np.max(np.abs(period))),
        "outputRmsV": float(np.sqrt(np.mean(period**2))),
        "fundamentalV": float(harmonics[1]),
        "harmonicsDbc": {
            f"h{n}": round(20 * math.log10(harmonics[n] / harmonics[1]), 4) for n in (3, 5, 7)
        },
        "thdOfFundamental": thd,
    }


def vectors():
    """Static points, step and sines as a JSON-able record."""
    static = [
        {"inputV": v, "outputV": brentq(lambda x, v=v: _slope(v, x), 0.0, v, xtol=1e-16, rtol=1e-14)}
        for v in STATIC_V
    ]
    stepped = _integrate(lambda t: 1.0, np.array((0.0, *STEP_TIMES_S)))[1:]
    return {
        "ohms": OHMS,
        "farads": FARADS,
        "saturationCurrentA": SATURATION_A,
        "emissionTimesThermalVoltageV": NVT_V,
        "static": static,
        "step": [{"seconds": t, "outputV": float(v)} for t, v in zip(STEP_TIMES_S, stepped)],
        "sines": [_sine(*case) for case in SINES],
    }
