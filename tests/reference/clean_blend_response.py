"""Small-signal response of the clean-blend circuit: its nodal equations, written by hand; see response.py."""

import presets
from response import NodalRows, diode


def gain(preset, v, s):
    """Complex gain from `in` to `out` at s = j omega, given the node voltages at rest."""
    P, bass, rails = preset["parts"], preset["bass"], preset["switches"]["rails"]
    g = {name: 1 / ohms for name, ohms in P.items() if name.startswith("R")}
    c = {name: s * farads for name, farads in P.items() if name.startswith("C")}
    vr1a, vr1b = (1 / presets.halves(preset, ref)[0] for ref in ("VR1A", "VR1B"))
    vr2ccw, vr2cw = (1 / ohms for ohms in presets.halves(preset, "VR2"))
    vr3ccw, vr3cw = (1 / ohms for ohms in presets.halves(preset, "VR3"))
    pump = 1 / presets.data(preset, "U3 doubler")["outputOhms"]

    def junction(ref, anode, cathode):
        data = presets.data(preset, ref)
        return diode(v[anode] - v[cathode], data) + s * data["zeroBiasCapacitanceF"]

    diodes = junction("D1", "c", "bias") + junction("D2", "bias", "c")
    d3, d4 = junction("D3", "pumped", "d34"), junction("D4", "d34", "doubled")

    # What C4 and C7 return to.
    leg = "bias" if preset["revision"] == 1 else "0"

    # Admittances to each neighbour, row by row ("0" is ground).
    links = {
        "supply": {"dc": g["R18"], "0": c["C11"] + c.get("C19", 0.0), "bias": g["R19"]},
        "bias": {
            "supply": g["R19"],
            "0": g["R20"] + c["C12"],
            "a": g["R2"],
            "g": g["R3"],
            "c": g["R7"] + diodes,
        },
        # The converter delivers (ratio supply - own voltage)/R: the part from the supply is added below.
        "pumped": {"0": pump, "d34": d3},
        "d34": {"pumped": d3, "doubled": d4},
        "doubled": {"d34": d4, "0": c["C13"]},
        "inverted": {"0": pump + c["C14"]},
        "a": {"in": c["C1"], "bias": g["R2"]},
        "g": {"buffered": c["C2"], "bias": g["R3"]},
        "m": {"n1": g["R4"], "n2": g["R5"], "o1": c["C5"]},
        "n1": {"m": g["R4"], leg: c["C4"]},
        "n2": {"m": g["R5"], "o1": vr1a},
        "n3": {"o1": c["C6"], "c": g["R6"]},
        "c": {"n3": g["R6"], "bias": g["R7"] + diodes, "s": g["R8"]},
        "b1": {"buffered": vr1b, "s": g["R9"]},
        "l": {"buffered": g["R10"], leg: c["C7"], "s": g["R11"]},
        "s": {"c": g["R8"], "b1": g["R9"], "l": g["R11"], "o2": g["R12"] + c["C8"]},
        "t": {"o2": g["R13"], "o3": g["R14"], "x": c["C9"]},
        "w": {"o2": vr2cw, "o3": vr2ccw, "x": g["R15"]},
        "x": {"w": g["R15"], "t": c["C9"]},
        "y": {"o3": c["C10"], "v": g["R16"]},
        "v": {"y": g["R16"], "out": vr3cw},
        "out": {"v": vr3cw, "0": vr3ccw + g["R17"]},
    }
    if leg == "bias":
        links["bias"] |= {"n1": c["C4"], "l": c["C7"]}
    if bass == "fitted":
        vr4 = 1 / presets.halves(preset, "VR4")[0]
        links["h"] = {"buffered": c["C3"], "g": vr4}
        links["g"]["h"] = vr4
    if bass == "bridged":
        links["g"]["buffered"] += c["C3"]

    rows = NodalRows(s, links, ["buffered", "o1", "o2", "o3"])
    # The doubler delivers (2 supply - pumped)/R and draws twice that, the inverter (-supply - inverted)/R and
    # draws that times -1.
    rows.add("pumped", "supply", -2 * pump)
    rows.add("supply", "supply", 2 * 2 * pump)
    rows.add("supply", "pumped", -2 * pump)
    rows.add("inverted", "supply", pump)
    rows.add("supply", "supply", pump)
    rows.add("supply", "inverted", pump)

    u1, u2 = presets.data(preset, "U1A"), presets.data(preset, "U2A")
    high = "supply" if rails == "single" else "doubled"
    low = "inverted" if rails == "doubled and negative" else "0"
    # Output current of each op-amp: admittances from its output to the neighbours, and its value at rest, A.
    coupled = {"g": c["C2"], "b1": vr1b, "l": g["R10"]}
    if bass == "fitted":
        coupled["h"] = c["C3"]
    if bass == "bridged":
        coupled["g"] += c["C3"]
    outputs = {
        "buffered": (coupled, u1["inputBiasA"], "supply", "0"),
        "o1": ({"n2": vr1a, "m": c["C5"], "n3": c["C6"]}, 0.0, "supply", "0"),
        "o2": ({"s": g["R12"] + c["C8"], "t": g["R13"], "w": vr2cw}, 0.0, high, low),
        "o3": ({"t": g["R14"], "w": vr2ccw, "y": c["C10"]}, 0.0, high, low),
    }
    for out, (neighbours, own_input, positive, negative) in outputs.items():
        # At s = j omega the real part is the part for direct current.
        at_rest = own_input + sum((v[out] - v[other]) * complex(y).real for other, y in neighbours.items())
        pin = positive if at_rest > 0 else negative
        if pin == "0":
            continue
        for other, admittance in neighbours.items():
            rows.add(pin, out, admittance)
            rows.add(pin, other, -admittance)
    for plus, minus, out, data, positive, negative in (
        ("a", "buffered", "buffered", u1, "supply", "0"),
        ("g", "m", "o1", u1, "supply", "0"),
        ("bias", "s", "o2", u2, high, low),
        ("bias", "t", "o3", u2, high, low),
    ):
        rows.opamp(data, v, (plus, minus, out, positive, negative))
    return rows.gain("out")
