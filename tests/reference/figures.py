"""Cutoff frequencies and gains between nets, from the hand-written equations of soft_clip_response.py and
clean_blend_response.py at the operating points of soft_clip.py and clean_blend.py. Writes vectors/figures.json.

A unit current into the first net stands for what drives it in the build, whose impedance is in the equations. A cutoff
frequency is where the capacitors take 3 dB from the level at the second net: from what is there with them huge (passband
above) or tiny (below).
"""

import copy
import json
import math
from pathlib import Path

import numpy as np
import scipy
from scipy.optimize import brentq

import clean_blend
import clean_blend_response
import presets
import response
import soft_clip
import soft_clip_response

VECTORS = Path(__file__).parent / "vectors"
AWAY = 1e9
# Steps between which the corner lies.
HZ = np.logspace(-2, 7, 9 * 12 + 1)

# Preset, name of the figure in the circuit, first and second node, capacitors, side of the passband, rotations.
CORNERS = [
    ("soft-plain", "bass corner of the input", "in", "b1", ["C1"], "above", {}),
    ("soft-plain", "bass corner into the gain stage", "e1", "p1", ["C2"], "above", {}),
    ("soft-plain", "bass corner of the gain stage", "p1", "o1", ["C3"], "above", {}),
    ("soft-plain", "treble corner ahead of the tone control", "o1", "t", ["C5"], "below", {}),
    ("soft-plain", "bass corner of the output", "e2", "out", ["C9"], "above", {}),
    ("soft-germanium", "bass corner of the gain stage", "p1", "o1", ["C3"], "above", {}),
    ("clean-plain", "bass corner of the input", "in", "a", ["C1"], "above", {}),
    ("clean-plain", "bass corner of what is clipped, bass knob up", "buffered", "g", ["C2"], "above", {"VR4": 1}),
    ("clean-plain", "bass corner of the gain stage", "g", "o1", ["C4"], "above", {}),
    ("clean-plain", "treble corner at full gain", "g", "o1", ["C5"], "below", {"VR1A": 1}),
    ("clean-plain", "bass corner into the diodes", "o1", "c", ["C6"], "above", {}),
    ("clean-plain", "treble corner of the sum", "c", "o2", ["C8"], "below", {}),
]


class Rows(Exception):
    """Carries the equations out of a circuit's `gain`, which would solve them for the output alone."""


def rows_of(circuit, preset, volts, hz):
    solve = response.NodalRows.gain
    try:
        response.NodalRows.gain = lambda rows, _: (_ for _ in ()).throw(Rows(rows))
        circuit.gain(preset, volts, 2j * math.pi * hz)
    except Rows as thrown:
        return thrown.args[0]
    finally:
        response.NodalRows.gain = solve


def level(circuit, preset, volts, hz, first, second):
    rows = rows_of(circuit, preset, volts, hz)
    right = rows.right
    if first != "in":
        right = np.zeros(len(rows.right), complex)
        right[rows.index[first]] = 1
    solved = np.linalg.solve(rows.matrix, right)
    return 20 * math.log10(abs(solved[rows.index[second]]))


def corner(name, first, second, capacitors, side, rotations):
    is_soft = name.startswith("soft")
    circuit = soft_clip_response if is_soft else clean_blend_response
    preset = copy.deepcopy((presets.SOFT_CLIP if is_soft else presets.CLEAN_BLEND)[name])
    at_rest = (soft_clip.SoftClip if is_soft else clean_blend.CleanBlend)(preset)
    volts = at_rest.nodes(at_rest.operating_point().tolist(), 0.0)
    preset["rotation"].update(rotations)
    away = copy.deepcopy(preset)
    for ref in capacitors:
        away["parts"][ref] *= AWAY if side == "above" else 1 / AWAY

    def taken(log_hz):
        hz = math.exp(log_hz)
        before, after = (level(circuit, of, volts, hz, first, second) for of in (away, preset))
        return before - after - 10 * math.log10(2)

    hz = HZ[::-1] if side == "above" else HZ
    outside = next(k for k, each in enumerate(hz) if taken(math.log(each)) > 0)
    return math.exp(brentq(taken, math.log(hz[outside - 1]), math.log(hz[outside])))


def main():
    record = {
        "madeBy": {"script": "figures.py", "numpy": np.__version__, "scipy": scipy.__version__},
        "corners": [
            {
                "preset": name,
                "figure": figure,
                "hz": float(f"{corner(name, first, second, capacitors, side, rotations):.6g}"),
            }
            for name, figure, first, second, capacitors, side, rotations in CORNERS
        ],
    }
    (VECTORS / "figures.json").write_text(json.dumps(record, indent=2) + "\n")


if __name__ == "__main__":
    main()
