"""Small-signal response of the hard-clip circuit: its nodal equations, written by hand; see response.py."""

import presets
from response import NodalRows, diode


def gain(preset, v, s):
    """Complex gain from `in` to `out` at s = j omega, given the node voltages at rest."""
    P = preset["parts"]
    g = {name: 1 / ohms for name, ohms in P.items() if name.startswith("R")}
    c = {name: s * farads for name, farads in P.items() if name.startswith("C")}
    vr1 = 1 / presets.halves(preset, "VR1")[0]
    vr2 = 1 / presets.halves(preset, "VR2")[1]
    low, high = (1 / ohms for ohms in presets.halves(preset, "VR3"))
    d, u = presets.data(preset, "D1"), presets.data(preset, "U1A")
    junctions = diode(v["c"], d) + diode(-v["c"], d) + 2 * s * d["zeroBiasCapacitanceF"]

    # Admittances to each neighbour, row by row ("0" is ground).
    links = {
        "supply": {"dc": g["R12"], "0": c["C8"] + c["C9"], "bias": g["R13"]},
        "bias": {"supply": g["R13"], "0": g["R14"] + c["C10"], "a": g["R2"], "g": g["R3"]},
        "a": {"in": c["C1"], "bias": g["R2"]},
        "g": {"o1": c["C2"], "bias": g["R3"]},
        "m": {"n1": g["R4"], "n2": g["R5"], "o2": c["C4"]},
        "n1": {"m": g["R4"], "0": c["C3"]},
        "n2": {"m": g["R5"], "o2": vr1},
        "x": {"o2": c["C5"], "c": g["R6"]},
        "c": {"x": g["R6"], "0": g["R7"] + junctions, "w": g["R8"]},
        "w": {"c": g["R8"], "t": vr2},
        "t": {"w": vr2, "0": c["C6"], "y": c["C7"]},
        "y": {"t": c["C7"], "out": high},
        "out": {"y": high, "0": low + g["R9"]},
    }
    rows = NodalRows(s, links, ["o1", "o2"])
    # The current that an op-amp sources comes from the supply node: what leaves its output.
    if (v["g"] - v["bias"]) * g["R3"] + 2 * u["inputBiasA"] > 0:
        for column, value in (("g", g["R3"]), ("bias", -g["R3"])):
            rows.add("supply", column, value)
    if (v["m"] - v["n1"]) * g["R4"] + u["inputBiasA"] + (v["x"] - v["c"]) * g["R6"] > 0:
        for column, value in (("m", g["R4"]), ("n1", -g["R4"]), ("x", g["R6"]), ("c", -g["R6"])):
            rows.add("supply", column, value)
    rows.opamp(u, v, ("a", "o1", "o1", "supply", "0"))
    rows.opamp(u, v, ("g", "m", "o2", "supply", "0"))
    return rows.gain("out")
