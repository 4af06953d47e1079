"""Small stages, solved from their netlists by netlist_solver.py.

The netlists are in p-type-netlists.json, charge-netlists.json and chain-netlists.json, as engine/network/netlist.ts prints the networks of
p-type-stages.test.ts, charge-stages.test.ts and chain-stages.test.ts. These tests compare the results.
"""

import json
import math
import pathlib

import numpy as np

import netlist_solver

FOLDER = pathlib.Path(__file__).parent
FREQUENCIES_HZ = (20.0, 100.0, 1000.0, 10000.0)
PEAKS_V = (0.02, 0.5)
RATE_HZ, SECONDS = 48000, 0.003
# Between the ends of longer steps the interpolation errs by more than the steps themselves.
LONGEST_STEP_S = 1e-5


def signal(peak_v, t):
    """A sine of 1 kHz to the third power. It starts without a kink: at a kink a third-order formula loses its order."""
    return peak_v * math.sin(2 * math.pi * 1000 * t) ** 3


def vectors(file):
    """Operating point, response and two outputs of each stage as a JSON-able record."""
    times = np.arange(round(RATE_HZ * SECONDS)) / RATE_HZ
    stages = {}
    for name, netlist in json.loads((FOLDER / file).read_text()).items():
        circuit = netlist_solver.Circuit(netlist)
        rest = circuit.rest()
        gains = circuit.response(rest, FREQUENCIES_HZ)
        stages[name] = {
            "restV": circuit.volts(rest),
            "response": [
                {"hz": hz, "decibels": 20 * math.log10(abs(gain)), "phaseDegrees": math.degrees(np.angle(gain))}
                for hz, gain in zip(FREQUENCIES_HZ, gains)
            ],
            "outputs": [
                {
                    "peakV": peak_v,
                    "samplesV": [
                        round(float(v), 10)
                        for v in circuit.transient(lambda t: signal(peak_v, t), times, rest, LONGEST_STEP_S)
                    ],
                }
                for peak_v in PEAKS_V
            ],
        }
    return {"rateHz": RATE_HZ, "stages": stages}
