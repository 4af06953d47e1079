"""Hard-clip circuit in continuous time: equations written by hand from its schematic.

One equation of Kirchhoff's current law for each node. Node names and designators are those of the schematic:

  supply   R12 from 9 V, C8 and C9; R13, R14, C10 make `bias`
  buffer   in -C1- a, R2 to bias; U1A follows: o1
  gain     o1 -C2- g, R3 to bias; U1B; m -R4- n1 -C3- ground; feedback m..o2: R5 + VR1, C4
  clipping o2 -C5- x -R6- c; R7, D1 and D2 to ground
  tone     c -R8- w -VR2- t, C6 to ground
  level    t -C7- y, VR3 with R9 at its wiper, which is `out`

States: capacitor voltages and op-amp outputs, in the order of STATES. The node c has the capacitances of both diodes;
their junction voltages behind their series resistances are found by Newton's method (see `diode_law`).
"""

import math

import numpy as np

import presets
from continuous import ContinuousCircuit, diode_law, opamp_law

STATES = ("supply", "bias", "C1", "o1", "C2", "C3", "C4", "o2", "C5", "c", "t", "C7")


class HardClip(ContinuousCircuit):
    """Right-hand side, operating point and node voltages of one preset."""

    def __init__(self, preset):
        P = preset["parts"]
        volts = P["V1"]
        g2, g3, g4, g6, g7, g12, g13, g14 = (
            1 / P[r] for r in ("R2", "R3", "R4", "R6", "R7", "R12", "R13", "R14")
        )
        c1, c2, c3, c4, c5, c6, c7, c8, c9, c10 = (P[f"C{k}"] for k in range(1, 11))
        # VR1: wiper and cw at o2, so only the ccw half is in series with R5.
        gf = 1 / (P["R5"] + presets.halves(preset, "VR1")[0])
        # VR2: wiper and ccw at t, so only the cw half is in series with R8.
        gt = 1 / (P["R8"] + presets.halves(preset, "VR2")[1])
        low_half, high_half = presets.halves(preset, "VR3")
        lower = 1 / (1 / low_half + 1 / P["R9"])
        gl = 1 / (high_half + lower)

        u = presets.data(preset, "U1A")
        omega = 2 * math.pi * u["gainBandwidthHz"]
        ib, quiescent = u["inputBiasA"], 2 * u["quiescentA"]
        first, second = opamp_law(u), opamp_law(u)
        d = presets.data(preset, "D1")
        d1, d2 = diode_law(d, "D1"), diode_law(d, "D2")
        cd = 2 * d["zeroBiasCapacitanceF"]

        def currents(y, vin):
            """Node voltages a, g, m, and the currents through R4, C5, VR2 and C7."""
            _, _, vc1, o1, vc2, vc3, vc4, o2, vc5, c, t, vc7 = y
            a, g, m = vin - vc1, o1 - vc2, o2 + vc4
            return a, g, m, (m - vc3) * g4, (o2 - vc5 - c) * g6, (c - t) * gt, (t - vc7) * gl

        def rhs(y, vin):
            supply, bias, _, o1, _, _, _, o2, _, c, _, _ = y
            a, g, m, i4, i5, it, il = currents(y, vin)
            i1, i2 = (a - bias) * g2 + ib, (g - bias) * g3 + ib
            source1, source2 = i2 + ib, i4 + ib + i5
            into_supply = (
                (volts - supply) * g12
                - (supply - bias) * g13
                - quiescent
                - max(source1, 0.0)
                - max(source2, 0.0)
            )
            into_bias = (supply - bias) * g13 - bias * g14 + (a - bias) * g2 + (g - bias) * g3
            return [
                into_supply / (c8 + c9),
                into_bias / c10,
                i1 / c1,
                first(o1, a - o1, supply, 0.0, a),
                i2 / c2,
                i4 / c3,
                -(i4 + (m - o2) * gf + ib) / c4,
                second(o2, g - m, supply, 0.0, g),
                i5 / c5,
                (i5 - c * g7 - d1(c) + d2(-c) - it) / cd,
                (it - il) / c6,
                il / c7,
            ]

        def nodes(y, vin):
            """Voltage of every node of the schematic, V."""
            supply, bias, _, o1, _, vc3, _, o2, vc5, c, t, vc7 = y
            a, g, m, _, _, it, il = currents(y, vin)
            return {
                "dc": volts,
                "supply": supply,
                "bias": bias,
                "in": vin,
                "a": a,
                "o1": o1,
                "g": g,
                "m": m,
                "n1": vc3,
                "n2": m - (m - o2) * gf * P["R5"],
                "o2": o2,
                "x": o2 - vc5,
                "c": c,
                "w": c - it * P["R8"],
                "t": t,
                "y": t - vc7,
                "out": il * lower,
            }

        def output(y):
            """Voltage at `out`, V."""
            return (y[10] - y[11]) * gl * lower

        self.rhs, self.nodes, self.output = rhs, nodes, output
        # Currents of capacitors scaled to volts; they are zero at the operating point.
        self.scale = np.array(
            [(c8 + c9) / g12, 5e3 * c10, c1 / g2, 1 / omega, c2 / g3, c3 / g4, 1e5 * c4, 1 / omega]
            + [1e5 * c5, 1e3 * cd, 1e5 * c6, 1e5 * c7]
        )
        self.guess = [8.9, 4.4, -4.5, 4.5, 0.0, 4.5, 0.0, 4.5, 4.5, 0.0, 0.0, 0.0]
