"""Small-signal response of the soft-clip circuit: its nodal equations, written by hand; see response.py."""

import presets
from response import NodalRows, diode, transistor


def gain(preset, v, s):
    """Complex gain from `in` to `out` at s = j omega, given the node voltages at rest."""
    P = preset["parts"]
    g = {name: 1 / ohms for name, ohms in P.items() if name.startswith("R")}
    c = {name: s * farads for name, farads in P.items() if name.startswith("C")}
    vr1 = 1 / presets.halves(preset, "VR1")[0]
    vr2a, vr2b = (1 / ohms for ohms in presets.halves(preset, "VR2"))
    vr3a, vr3b = (1 / ohms for ohms in presets.halves(preset, "VR3"))
    bjt = presets.data(preset, "Q1")
    ic1, ib1 = transistor(v, "supply", "b1", "e1", bjt)
    ic2, ib2 = transistor(v, "supply", "b2", "e2", bjt)
    # What C3, C5 and C6 return to.
    leg = "bias" if preset["revision"] == 1 else "0"
    d, u = presets.data(preset, "D1"), presets.data(preset, "U1A")

    def junction(anode, cathode):
        return diode(v[anode] - v[cathode], d) + s * d["zeroBiasCapacitanceF"]

    # Admittances to each neighbour, row by row ("0" is ground).
    links = {
        "supply": {"dc": g["R17"], "0": c["C11"] + c.get("C13", 0.0), "bias": g["R15"]},
        "bias": {
            "supply": g["R15"],
            "0": g["R16"] + c["C10"],
            "b1": g["R2"],
            "p1": g["R5"],
            "t": g["R8"],
            "b2": g["R12"],
        },
        "b1": {"in": c["C1"], "bias": g["R2"]},
        "e1": {"0": g["R3"], "p1": c["C2"]},
        "p1": {"e1": c["C2"], "bias": g["R5"]},
        "m1": {"n1": g["R4"], "n2": g["R6"], "o1": c["C4"]},
        "n1": {"m1": g["R4"], leg: c["C3"]},
        "n2": {"m1": g["R6"], "o1": vr1},
        "t": {"o1": g["R7"], "bias": g["R8"], "w": vr2a},
        "w": {"t": vr2a, "m2": vr2b, "n3": g["R9"]},
        "n3": {"w": g["R9"], leg: c["C6"]},
        "m2": {"w": vr2b, "o2": g["R10"]},
        "n4": {"o2": c["C7"], "v": g["R11"]},
        "v": {"n4": g["R11"], "vol": vr3b},
        "vol": {"v": vr3b, "0": vr3a, "b2": c["C8"]},
        "b2": {"vol": c["C8"], "bias": g["R12"]},
        "e2": {"0": g["R13"], "n5": c["C9"]},
        "n5": {"e2": c["C9"], "out": g["R18"]},
        "out": {"n5": g["R18"], "0": g["R14"]},
    }
    links["t"][leg] = links["t"].get(leg, 0.0) + c["C5"]
    if leg == "bias":
        for node, name in (("n1", "C3"), ("t", "C5"), ("n3", "C6")):
            links["bias"][node] = links["bias"].get(node, 0.0) + c[name]
    clipping = preset["switches"]["clipping"]
    if clipping == "symmetric":
        links["m1"]["o1"] += junction("m1", "o1") + junction("o1", "m1")
    if clipping == "asymmetric":
        links["m1"]["o1"] += junction("m1", "o1")
        links["m1"]["d23"] = junction("d23", "m1")
        links["d23"] = {"m1": junction("d23", "m1"), "o1": junction("o1", "d23")}

    rows = NodalRows(s, links, ["o1", "o2"])
    # Transistor currents leave their nodes: collector and base inwards, their sum out of the emitter.
    for base, emitter, ic, ib in (("b1", "e1", ic1, ib1), ("b2", "e2", ic2, ib2)):
        for column in ("supply", base, emitter):
            rows.add("supply", column, ic[column])
            rows.add(base, column, ib[column])
            rows.add(emitter, column, -ic[column] - ib[column])
    # The current that an op-amp sources comes from the supply node.
    feedback1 = (v["m1"] - v["n1"]) * g["R4"] + u["inputBiasA"]
    if (v["o1"] - v["t"]) * g["R7"] + feedback1 > 0:
        for column, value in (("o1", g["R7"]), ("t", -g["R7"]), ("m1", g["R4"]), ("n1", -g["R4"])):
            rows.add("supply", column, value)
    if (v["o2"] - v["m2"]) * g["R10"] > 0:
        for column, value in (
            ("o2", g["R10"] + c["C7"]),
            ("m2", -g["R10"]),
            ("n4", -c["C7"]),
        ):
            rows.add("supply", column, value)
    rows.opamp(u, v, ("p1", "m1", "o1", "supply", "0"))
    rows.opamp(u, v, ("t", "m2", "o2", "supply", "0"))
    return rows.gain("out")
