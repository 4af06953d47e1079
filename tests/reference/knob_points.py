"""Rest and response of circuits of bare transistors, and of circuits made of stages, with knobs away from the presets' positions.
netlist_solver.py gets only the netlist that the command line prints. Writes vectors/knob-points.json.
"""

import json
import math
import pathlib

import numpy as np
import scipy

import netlist_solver

VECTORS = pathlib.Path(__file__).parent / "vectors"
FREQUENCIES_HZ = (82.0, 440.0, 3000.0)
# The preset of each circuit, and where its knobs stand.
POSITIONS = {
    "hard-plain": [{"gain": 0, "tone": 0}, {"gain": 1, "tone": 1}, {"gain": 0.5, "tone": 0.3, "output": 0.2}],
    "three-plain": [
        {"gain": 0, "treble": 1, "bass": 0, "middle": 0.5},
        {"gain": 1, "treble": 0, "bass": 1, "middle": 0},
        {"gain": 0.5, "treble": 0.5, "bass": 0.5, "middle": 1},
    ],
    "cascade-plain": [{"gain": 0.2, "tone": 0}, {"gain": 1, "tone": 1}, {"gain": 0.5, "tone": 0.5, "output": 1}],
    "jfet-plain": [{"gain": 0, "output": 1}, {"gain": 0.5, "output": 0.3}],
    "treble-plain": [{"output": 0.1}, {"output": 1}],
    "silicon-fuzz-plain": [{"fuzz": 0, "output": 1}, {"fuzz": 0.5, "output": 0.3}],
    "germanium-fuzz-plain": [{"fuzz": 0, "output": 1}, {"fuzz": 0.5, "output": 0.3}],
}


def point_of(preset, knobs):
    circuit = netlist_solver.Circuit(netlist_solver.netlist_of(preset, knobs.items()))
    # From half the supply the silicon fuzz does not settle.
    rest = circuit.rest(0.0)
    gains = circuit.response(rest, FREQUENCIES_HZ)
    return {
        "preset": preset,
        "knobs": knobs,
        "restV": {net: volts for net, volts in circuit.volts(rest).items() if ":" not in net},
        "response": [
            {"hz": hz, "decibels": 20 * math.log10(abs(gain)), "phaseDegrees": math.degrees(np.angle(gain))}
            for hz, gain in zip(FREQUENCIES_HZ, gains)
        ],
    }


def main():
    record = {
        "madeBy": {"script": "knob_points.py", "numpy": np.__version__, "scipy": scipy.__version__},
        "points": [point_of(preset, knobs) for preset, each in POSITIONS.items() for knobs in each],
    }
    (VECTORS / "knob-points.json").write_text(json.dumps(record, indent=2) + "\n")


if __name__ == "__main__":
    main()
