"""Small-signal response of the soft-clip circuit: complex nodal equations, one row a node, by hand.

Every device is replaced by its derivatives at the operating point of soft_clip.py. The rows were written
from the schematic again, apart from the right-hand side of soft_clip.py; `state_space` derives the same
response from that right-hand side by differences, as a check of one against the other.
"""

import math

import numpy as np

import devices

FREQUENCIES_HZ = 20.0 * 1000.0 ** (np.arange(61) / 60)


def _transistor(voltages, collector, base, emitter, data):
    """Derivatives of collector and base current by (collector, base, emitter) voltage, S."""
    vt = devices.THERMAL_VOLTAGE_V
    vbe, vbc = voltages[base] - voltages[emitter], voltages[base] - voltages[collector]
    i_s = data["saturationCurrentA"]
    forward, reverse = i_s * math.exp(vbe / vt), i_s * math.exp(vbc / vt)
    gain = 1 - vbc / data["earlyV"]
    by_be = forward / vt * gain
    by_bc = -reverse / vt * (gain + 1 / data["reverseBeta"]) - (forward - reverse) / data["earlyV"]
    base_be, base_bc = forward / vt / data["forwardBeta"], reverse / vt / data["reverseBeta"]
    return (
        {collector: -by_bc, base: by_be + by_bc, emitter: -by_be},
        {collector: -base_bc, base: base_be + base_bc, emitter: -base_be},
    )


def _diode(volts, data):
    """Conductance of a diode with its series resistance at a voltage, S."""
    nvt = data["emissionCoefficient"] * devices.THERMAL_VOLTAGE_V
    vj, g = 0.0, 0.0
    for _ in range(100):
        i = data["saturationCurrentA"] * math.expm1(vj / nvt) + devices.JUNCTION_MIN_S * vj
        g = data["saturationCurrentA"] * math.exp(vj / nvt) / nvt + devices.JUNCTION_MIN_S
        vj -= (vj + data["seriesOhms"] * i - volts) / (1 + data["seriesOhms"] * g)
    return g / (1 + data["seriesOhms"] * g)


def response(preset_name, voltages):
    """Complex gain from `in` to `out` at FREQUENCIES_HZ, given the node voltages at rest."""
    return np.array([_solve(preset_name, voltages, 2j * math.pi * f) for f in FREQUENCIES_HZ])


def _solve(preset_name, v, s):
    preset, P = devices.PRESETS[preset_name], devices.PARTS
    g = {name: 1 / ohms for name, ohms in P.items() if name.startswith("R")}
    c = {name: s * farads for name, farads in P.items() if name.startswith("C")}
    vr1 = 1 / devices.halves(preset, "VR1")[0]
    vr2a, vr2b = (1 / ohms for ohms in devices.halves(preset, "VR2"))
    vr3a, vr3b = (1 / ohms for ohms in devices.halves(preset, "VR3"))
    bjt = devices.TRANSISTORS[preset["transistor"]]
    ic1, ib1 = _transistor(v, "supply", "b1", "e1", bjt)
    ic2, ib2 = _transistor(v, "supply", "b2", "e2", bjt)
    d = devices.DIODES[preset["diode"]]

    def diode(anode, cathode):
        return _diode(v[anode] - v[cathode], d) + s * d["zeroBiasCapacitanceF"]

    # Admittances to each neighbour, row by row ("0" is ground).
    links = {
        "supply": {"dc": g["R17"], "0": c["C11"], "bias": g["R15"]},
        "bias": {
            "supply": g["R15"],
            "0": g["R16"] + c["C10"],
            "b1": g["R2"],
            "p1": g["R5"],
            "n1": c["C3"],
            "t": c["C5"] + g["R8"],
            "n3": c["C6"],
            "b2": g["R12"],
        },
        "b1": {"in": c["C1"], "bias": g["R2"]},
        "e1": {"0": g["R3"], "p1": c["C2"]},
        "p1": {"e1": c["C2"], "bias": g["R5"]},
        "m1": {"n1": g["R4"], "n2": g["R6"], "o1": c["C4"]},
        "n1": {"m1": g["R4"], "bias": c["C3"]},
        "n2": {"m1": g["R6"], "o1": vr1},
        "t": {"o1": g["R7"], "bias": c["C5"] + g["R8"], "w": vr2a},
        "w": {"t": vr2a, "m2": vr2b, "n3": g["R9"]},
        "n3": {"w": g["R9"], "bias": c["C6"]},
        "m2": {"w": vr2b, "o2": g["R10"]},
        "n4": {"o2": c["C7"], "v": g["R11"]},
        "v": {"n4": g["R11"], "vol": vr3b},
        "vol": {"v": vr3b, "0": vr3a, "b2": c["C8"]},
        "b2": {"vol": c["C8"], "bias": g["R12"]},
        "e2": {"0": g["R13"], "n5": c["C9"]},
        "n5": {"e2": c["C9"], "out": g["R18"]},
        "out": {"n5": g["R18"], "0": g["R14"]},
    }
    if preset["switch"] == "symmetric":
        links["m1"]["o1"] += diode("m1", "o1") + diode("o1", "m1")
    if preset["switch"] == "asymmetric":
        links["m1"]["o1"] += diode("m1", "o1")
        links["m1"]["d23"] = diode("d23", "m1")
        links["d23"] = {"m1": diode("d23", "m1"), "o1": diode("o1", "d23")}

    order = [*links, "o1", "o2"]
    index = {name: k for k, name in enumerate(order)}
    matrix = np.zeros((len(order), len(order)), complex)
    right = np.zeros(len(order), complex)
    known = {"0": 0.0, "dc": 0.0, "in": 1.0}

    def add(row, column, value):
        if column in known:
            right[index[row]] -= value * known[column]
        else:
            matrix[index[row], index[column]] += value

    for name, neighbours in links.items():
        for neighbour, admittance in neighbours.items():
            add(name, name, admittance)
            add(name, neighbour, -admittance)
    # Transistor currents leave their nodes: collector and base inwards, their sum out of the emitter.
    for base, emitter, ic, ib in (("b1", "e1", ic1, ib1), ("b2", "e2", ic2, ib2)):
        for column in ("supply", base, emitter):
            add("supply", column, ic[column])
            add(base, column, ib[column])
            add(emitter, column, -ic[column] - ib[column])
    # What an op-amp sources comes out of the supply node.
    feedback1 = (v["m1"] - v["n1"]) * g["R4"] + devices.OPAMPS[preset["opamp"]]["inputBiasA"]
    if (v["o1"] - v["t"]) * g["R7"] + feedback1 > 0:
        for column, value in (("o1", g["R7"]), ("t", -g["R7"]), ("m1", g["R4"]), ("n1", -g["R4"])):
            add("supply", column, value)
    if (v["o2"] - v["m2"]) * g["R10"] > 0:
        for column, value in (
            ("o2", g["R10"] + c["C7"]),
            ("m2", -g["R10"]),
            ("n4", -c["C7"]),
        ):
            add("supply", column, value)
    _opamp(add, preset, v, s, ("p1", "m1", "o1"))
    _opamp(add, preset, v, s, ("t", "m2", "o2"))
    return np.linalg.solve(matrix, right)[index["out"]]


def _opamp(add, preset, v, s, names):
    """Row of one op-amp within its rails: s x = w s'(u) vd - (w/A0)(x - supply/2)."""
    data = devices.OPAMPS[preset["opamp"]]
    plus, minus, out = names
    omega = 2 * math.pi * data["gainBandwidthHz"]
    leak = omega / data["openLoopGain"]
    drive = omega * (v[plus] - v[minus]) / data["slewVPerS"]
    slope = omega * (1 + drive * drive) ** -1.5
    add(out, out, (s + leak) / omega)
    add(out, "supply", -leak / 2 / omega)
    add(out, plus, -slope / omega)
    add(out, minus, slope / omega)


def state_space(circuit, states):
    """The same response from the transient equations, by central differences."""
    h = 1e-6
    rest = [float(x) for x in states]
    a = circuit.jacobian(states)
    b = (np.array(circuit.rhs(rest, h)) - np.array(circuit.rhs(rest, -h))) / (2 * h)
    row = np.zeros(len(rest))
    for k in range(len(rest)):
        up, down = list(rest), list(rest)
        up[k] += h
        down[k] -= h
        row[k] = (circuit.output(up) - circuit.output(down)) / (2 * h)
    identity = np.eye(len(rest))
    return np.array(
        [row @ np.linalg.solve(2j * math.pi * f * identity - a, b) for f in FREQUENCIES_HZ]
    )
