"""Clean-blend circuit in continuous time: equations written by hand from its schematic.

One equation of Kirchhoff's current law for each node. Node names and designators are those of the schematic:

  supply   R18 from 9 V, C11 and C19; R19, R20, C12 make `bias`; U3 makes pumped -D3- d34 -D4- doubled, C13, and
           inverted, C14; SW1 puts U2 between supply and ground, doubled and ground or doubled and inverted
  input    in -C1- a, R2 to bias; U1A follower `buffered`
  gain     buffered -C2- g; buffered -C3- h -VR4- g; R3 to bias; U1B; m -R4- n1 -C4- ground; feedback m..o1:
           R5 + VR1A, C5; o1 -C6- n3 -R6- c; D1, D2, R7 from c to bias
  sum      c -R8- s; buffered -VR1B, R9- s; buffered -R10- l -R11- s, C7 from l to ground; U2A; s..o2: R12, C8
  treble   o2 -R13- t -R14- o3; VR2 from o2 to o3, wiper w -R15- x -C9- t; U2B
  output   o3 -C10- y -R16- v; VR3; out, R17

In revision 1 of the circuit C4 and C7 returned to the bias, and there was no C19.

States: capacitor voltages and op-amp outputs, in the order of STATES. Each diode has a constant
capacitance, so the voltage across it is a state. Only t and w have no capacitor: they follow from two linear equations.
"""

import math

import numpy as np

import presets
from continuous import ContinuousCircuit, diode_law, opamp_law

STATES = (
    *("supply", "bias", "D3", "D4", "doubled", "inverted"),
    *("C1", "buffered", "C2", "C4", "C5", "o1", "C6", "D1", "C7", "C8", "o2", "C9", "o3", "C10", "C3"),
)


class CleanBlend(ContinuousCircuit):
    """Right-hand side, operating point and node voltages of one preset."""

    def __init__(self, preset):
        self.preset = preset
        # With VR4 bridged, C3 is in parallel with C2; with VR4 removed, it carries no current: it is no state of its
        # own.
        self.size = len(STATES) if self.preset["bass"] == "fitted" else len(STATES) - 1
        self._build()

    def _build(self):
        """Binds every number to a local name, which Python reads faster than an attribute."""
        preset = self.preset
        P, bass, rails = preset["parts"], preset["bass"], preset["switches"]["rails"]
        volts = P["V1"]
        g2, g3, g4, g6, g7, g8 = (1 / P[r] for r in ("R2", "R3", "R4", "R6", "R7", "R8"))
        g10, g11, g12, g13, g14 = (1 / P[r] for r in ("R10", "R11", "R12", "R13", "R14"))
        g15, g18, g19, g20 = (1 / P[r] for r in ("R15", "R18", "R19", "R20"))
        c1, c2, c3, c4, c5, c6, c7 = (P[f"C{k}"] for k in range(1, 8))
        c8, c9, c10, c11, c12, c13, c14 = (P[f"C{k}"] for k in range(8, 15))
        if bass == "bridged":
            c2 += c3
        # What C4 and C7 return to: nothing of the bias, or all of it.
        share = 1.0 if preset["revision"] == 1 else 0.0
        c11 += P.get("C19", 0.0)

        # VR1A, VR1B and VR4 are rheostats: wiper and cw are joined, so only the ccw half is in circuit.
        gf = 1 / (P["R5"] + presets.halves(preset, "VR1A")[0])
        gb = 1 / (P["R9"] + presets.halves(preset, "VR1B")[0])
        gv = 1 / presets.halves(preset, "VR4")[0] if bass == "fitted" else 0.0
        treble_ccw, treble_cw = presets.halves(preset, "VR2")
        gccw, gcw = 1 / treble_ccw, 1 / treble_cw
        low_half, high_half = presets.halves(preset, "VR3")
        load = 1 / (1 / low_half + 1 / P["R17"])
        gy = 1 / (P["R16"] + high_half + load)

        u1, u2 = presets.data(preset, "U1A"), presets.data(preset, "U2A")
        ib1, ib2 = u1["inputBiasA"], u2["inputBiasA"]
        quiescent1, quiescent2 = 2 * u1["quiescentA"], 2 * u2["quiescentA"]
        first, second = opamp_law(u1), opamp_law(u2)
        gpump = 1 / presets.data(preset, "U3 doubler")["outputOhms"]

        d1, d2, d3, d4 = (diode_law(presets.data(preset, ref), ref) for ref in ("D1", "D2", "D3", "D4"))
        cd12 = sum(presets.data(preset, ref)["zeroBiasCapacitanceF"] for ref in ("D1", "D2"))
        cd3, cd4 = (presets.data(preset, ref)["zeroBiasCapacitanceF"] for ref in ("D3", "D4"))

        def treble_nodes(o2, o3, vc9):
            """Inverting input t and wiper w.

            w:  (o2 - w)/Rcw + (o3 - w)/Rccw = i9        i9 = (w - t - vC9)/R15
            t:  (o2 - t)/R13 + (o3 - t)/R14 + i9 = I_B
            """
            sw, st = gcw + gccw + g15, g13 + g14 + g15
            rw = o2 * gcw + o3 * gccw + vc9 * g15
            rt = o2 * g13 + o3 * g14 - vc9 * g15 - ib2
            det = sw * st - g15 * g15
            return (rt * sw + rw * g15) / det, (rw * st + rt * g15) / det

        def rhs(y, vin):
            supply, bias, vd3, vd4, doubled, inverted = y[:6]
            vc1, buffered, vc2, vc4, vc5, o1, vc6, vd1, vc7, vc8, o2, vc9, o3, vc10 = y[6:20]
            a, g, m, n1, n3, c = vin - vc1, buffered - vc2, o1 + vc5, share * bias + vc4, o1 - vc6, bias + vd1
            low, s = share * bias + vc7, o2 + vc8
            t, w = treble_nodes(o2, o3, vc9)

            # Through each capacitor, A.
            i1 = (a - bias) * g2 + ib1
            i3 = (buffered - y[20] - g) * gv if bass == "fitted" else 0.0
            i2 = (g - bias) * g3 + ib1 - i3
            i4 = (m - n1) * g4
            i5 = -i4 - (m - o1) * gf - ib1
            i6 = (n3 - c) * g6
            from_c = (c - s) * g8
            into_bias = i6 - from_c
            i_d = into_bias - vd1 * g7 - d1(vd1) + d2(-vd1)
            clean, lows = (buffered - s) * gb, (low - s) * g11
            i_low = (buffered - low) * g10
            i7 = i_low - lows
            # The feedback of U2A carries the sum of the three paths, less the input current.
            feedback = ib2 - from_c - clean - lows
            i8 = -feedback - vc8 * g12
            i9 = (w - t - vc9) * g15
            i10 = (o3 - vc10) * gy

            # Currents out of the op-amps' outputs, including those to their own inverting inputs, A.
            source1a = i2 + i3 + clean + i_low + ib1
            source1b = i6 + i4 + ib1
            source2a = feedback + (o2 - t) * g13 + (o2 - w) * gcw
            source2b = (o3 - t) * g14 + (o3 - w) * gccw + i10
            sourced1 = (source1a if source1a > 0 else 0.0) + (source1b if source1b > 0 else 0.0)
            sourced2 = (source2a if source2a > 0 else 0.0) + (source2b if source2b > 0 else 0.0)
            sunk2 = sourced2 - source2a - source2b

            # Converter: into `pumped` and on through D3 and D4, and into `inverted`.
            pumping = (2 * supply - doubled - vd4 - vd3) * gpump
            inverting = (-supply - inverted) * gpump
            from_high, into_low = quiescent2 + sourced2, quiescent2 + sunk2
            i11 = (
                (volts - supply) * g18
                - (supply - bias) * g19
                - quiescent1
                - sourced1
                - 2 * pumping
                + inverting
            )
            i12 = (
                (supply - bias) * g19
                - bias * g20
                + (a - bias) * g2
                + (g - bias) * g3
                + share * (i4 + i7)
                + into_bias
                - 2 * ib2
            )
            i13, i14 = pumping, inverting
            positive, negative = doubled, 0.0
            if rails == "single":
                positive = supply
                i11 -= from_high
            else:
                i13 -= from_high
            if rails == "doubled and negative":
                negative = inverted
                i14 += into_low
            result = [
                i11 / c11,
                i12 / c12,
                (pumping - d3(vd3)) / cd3,
                (pumping - d4(vd4)) / cd4,
                i13 / c13,
                i14 / c14,
                i1 / c1,
                first(buffered, a - buffered, supply, 0.0, a),
                i2 / c2,
                i4 / c4,
                i5 / c5,
                first(o1, g - m, supply, 0.0, g),
                i6 / c6,
                i_d / cd12,
                i7 / c7,
                i8 / c8,
                second(o2, bias - s, positive, negative, bias),
                i9 / c9,
                second(o3, bias - t, positive, negative, bias),
                i10 / c10,
            ]
            if bass == "fitted":
                result.append(i3 / c3)
            return result

        def nodes(y, vin):
            """Voltage of every node of the schematic, V."""
            supply, bias, vd3, vd4, doubled, inverted = y[:6]
            vc1, buffered, vc2, vc4, vc5, o1, vc6, vd1, vc7, vc8, o2, vc9, o3, vc10 = y[6:20]
            t, w = treble_nodes(o2, o3, vc9)
            m, s = o1 + vc5, o2 + vc8
            i10 = (o3 - vc10) * gy
            voltages = {
                "dc": volts,
                "supply": supply,
                "bias": bias,
                "pumped": doubled + vd4 + vd3,
                "d34": doubled + vd4,
                "doubled": doubled,
                "inverted": inverted,
                "in": vin,
                "a": vin - vc1,
                "buffered": buffered,
                "g": buffered - vc2,
                "m": m,
                "n1": share * bias + vc4,
                "n2": m - (m - o1) * gf * P["R5"],
                "o1": o1,
                "n3": o1 - vc6,
                "c": bias + vd1,
                "b1": s + (buffered - s) * gb * P["R9"],
                "l": share * bias + vc7,
                "s": s,
                "o2": o2,
                "t": t,
                "w": w,
                "x": t + vc9,
                "o3": o3,
                "y": o3 - vc10,
                "v": o3 - vc10 - i10 * P["R16"],
                "out": i10 * load,
            }
            if bass == "fitted":
                voltages["h"] = buffered - y[20]
            return voltages

        def output(y):
            """Voltage at `out`, V."""
            return (y[18] - y[19]) * gy * load

        self.rhs, self.nodes, self.output = rhs, nodes, output
        omega1, omega2 = (2 * math.pi * u["gainBandwidthHz"] for u in (u1, u2))
        # Currents of capacitors scaled to volts; they are zero at the operating point.
        scale = [c11 / g18, 5e3 * c12, 1e3 * cd3, 1e3 * cd4, 1e3 * c13, 1e3 * c14]
        scale += [1e6 * c1, 1 / omega1, 2e4 * c2, 2e3 * c4, 5e4 * c5, 1 / omega1, 1e4 * c6, 1e4 * cd12]
        scale += [1e4 * c7, 2e4 * c8, 1 / omega2, 5e3 * c9, 1 / omega2, 1e4 * c10, 2e4 * c3]
        guess = [8.85, 4.4, 0.65, 0.65, 16.2, -8.65] if rails != "single" else [8.9, 4.4, 0, 0, 17.8, -8.9]
        leg = 4.4 * (1 - share)
        guess += [-4.4, 4.4, 0, leg, 0, 4.4, 0, 0, leg, 0, 4.4, 0, 4.4, 4.4, 0]
        self.scale, self.guess = np.array(scale[: self.size]), guess[: self.size]
