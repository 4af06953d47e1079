"""Soft-clip circuit in continuous time: equations written by hand from its schematic.

One equation of Kirchhoff's current law for each node. Node names and designators are those of the schematic:

  supply   R17 from 9 V, C11 and C13; R15, R16, C10 make `bias`
  buffer   in -C1- b1, R2 to bias; Q1 follower, e1, R3
  gain     e1 -C2- p1, R5 to bias; U1A; m1 -R4- n1 -C3- ground; feedback m1..o1: R6 + VR1, C4, diodes
  tone     o1 -R7- t, C5 to ground and R8 to bias; U1B; VR2 from t to m2, wiper -R9- n3 -C6- ground; m2 -R10- o2
  output   o2 -C7- n4 -R11- v; VR3; vol -C8- b2, R12 to bias; Q2, e2, R13; C9, R18; R14

In revision 1 of the circuit C3, C5 and C6 returned to the bias, and there was no C13.

States: capacitor voltages and op-amp outputs, in the order of STATES. Supply and bias are nodes like any
other. Nodes without a capacitor (e1, b2, e2) and the diodes' junction voltages behind their series resistances
are found by Newton's method, to 1e-13 V, each time the right-hand side is evaluated.
"""

import math

import numpy as np

import devices
import presets
from continuous import NEWTON_TOLERANCE_V, ContinuousCircuit, diode_law, opamp_law

STATES = ("supply", "bias", "C1", "C2", "C3", "C4", "o1", "C5", "C6", "o2", "C7", "C8", "C9", "D2")


class SoftClip(ContinuousCircuit):
    """Right-hand side, operating point and node voltages of one preset."""

    def __init__(self, preset):
        self.preset = preset
        self.switch = self.preset["switches"]["clipping"]
        # Only the asymmetric setting has a node (d23) inside its diode string.
        self.size = 14 if self.switch == "asymmetric" else 13
        self._build()

    def _build(self):
        """Binds every number to a local name, which Python reads faster than an attribute."""
        exp, preset = math.exp, self.preset
        P = preset["parts"]
        VT = devices.THERMAL_VOLTAGE_V
        volts = P["V1"]
        g2, g3, g4, g5, g7, g8, g9, g10 = (
            1 / P[r] for r in ("R2", "R3", "R4", "R5", "R7", "R8", "R9", "R10")
        )
        g12, g13, g15, g16, g17 = (1 / P[r] for r in ("R12", "R13", "R15", "R16", "R17"))
        c1, c2, c3, c4, c5, c6, c7, c8, c9, c10, c11 = (P[f"C{k}"] for k in range(1, 12))

        # VR1: wiper and cw both at o1, so only the ccw half is in circuit, in series with R6.
        gf = 1 / (P["R6"] + presets.halves(preset, "VR1")[0])
        tone_t, tone_m = presets.halves(preset, "VR2")
        ga, gb = 1 / tone_t, 1 / tone_m
        # VR3: R11 and the half to cw are in series between n4 and vol, as v has no other part.
        low_half, high_half = presets.halves(preset, "VR3")
        gh, gl = 1 / (P["R11"] + high_half), 1 / low_half
        r14, r18 = P["R14"], P["R18"]
        gout = 1 / (r18 + r14)

        q = presets.data(preset, "Q1")
        IS, bf, br, va = q["saturationCurrentA"], q["forwardBeta"], q["reverseBeta"], q["earlyV"]

        u = presets.data(preset, "U1A")
        omega = 2 * math.pi * u["gainBandwidthHz"]
        ib, quiescent = u["inputBiasA"], 2 * u["quiescentA"]
        opamp = opamp_law(u)

        d = presets.data(preset, "D1")
        cd = d["zeroBiasCapacitanceF"]
        d1, d2, d3 = (diode_law(d, ref) for ref in ("D1", "D2", "D3"))

        # What C3, C5 and C6 return to: nothing of the bias, or all of it.
        share = 1.0 if preset["revision"] == 1 else 0.0
        c11 += P.get("C13", 0.0)

        switch, tolerance = self.switch, NEWTON_TOLERANCE_V
        memory = {"e1": 0.6, "b2": 0.6, "e2": 0.6}

        def transistor(vbe, vbc):
            """Collector and base current, A, and their derivatives by vbe and vbc, S."""
            ef, er = IS * exp(vbe / VT), IS * exp(vbc / VT)
            forward, reverse = ef - IS, er - IS
            gain = 1 - vbc / va
            ic = (forward - reverse) * gain - reverse / br
            base = forward / bf + reverse / br
            gf_, gr_ = ef / VT, er / VT
            return (
                ic,
                base,
                gf_ * gain,
                -gr_ * gain - (forward - reverse) / va - gr_ / br,
                gf_ / bf,
                gr_ / br,
            )

        def first_follower(b1, supply, bias, vc2):
            """Emitter e1 and base current of Q1: i_E = e1/R3 + (e1 - vC2 - bias)/R5 + I_B(U1A)."""
            e1 = memory["e1"]
            for _ in range(200):
                ic, base, dic, _, dib, _ = transistor(b1 - e1, b1 - supply)
                f = ic + base - e1 * g3 - (e1 - vc2 - bias) * g5 - ib
                step = f / (-dic - dib - g3 - g5)
                if step > 0.1:
                    step = 0.1
                elif step < -0.1:
                    step = -0.1
                e1 -= step
                if -tolerance < step < tolerance:
                    memory["e1"] = e1
                    return e1, transistor(b1 - e1, b1 - supply)[1]
            raise ArithmeticError("Q1 does not converge")

        def second_follower(supply, bias, n4, vc8, vc9):
            """Base b2, emitter e2 and base current of Q2, two Kirchhoff equations."""
            b2, e2 = memory["b2"], memory["e2"]
            for _ in range(200):
                ic, base, dic, dicc, dib, dibc = transistor(b2 - e2, b2 - supply)
                fb = (n4 - b2 - vc8) * gh - (b2 + vc8) * gl - (b2 - bias) * g12 - base
                fe = ic + base - e2 * g13 - (e2 - vc9) * gout
                bb, be = -gh - gl - g12 - dib - dibc, dib
                eb, ee = dic + dib + dicc + dibc, -dic - dib - g13 - gout
                det = bb * ee - be * eb
                step_b = (fb * ee - fe * be) / det
                step_e = (fe * bb - fb * eb) / det
                rise = step_b - step_e
                if rise < -0.1 or rise > 0.1:
                    shrink = 0.1 / abs(rise)
                    step_b *= shrink
                    step_e *= shrink
                b2 -= step_b
                e2 -= step_e
                if abs(step_b) < tolerance and abs(step_e) < tolerance:
                    memory["b2"], memory["e2"] = b2, e2
                    return b2, e2, transistor(b2 - e2, b2 - supply)[1]
            raise ArithmeticError("Q2 does not converge")

        def tone_nodes(t, n3, o2):
            """Wiper w and inverting input m2: two linear Kirchhoff equations.

            w:  (t - w)/Ra + (m2 - w)/Rb = (w - n3)/R9     m2: (w - m2)/Rb + (o2 - m2)/R10 = I_B
            """
            sw, sm = ga + gb + g9, gb + g10
            rw, rm = t * ga + n3 * g9, o2 * g10 - ib
            det = sw * sm - gb * gb
            return (rw * sm + rm * gb) / det, (rm * sw + rw * gb) / det

        def diode_currents(m1, o1, vs):
            """Diode current out of m1, A, and the net current into d23, A."""
            if switch == "lifted":
                return 0.0, 0.0
            if switch == "symmetric":
                return d1(m1 - o1) - d2(o1 - m1), 0.0
            third = d3(vs + o1 - m1)
            return d1(m1 - o1) - third, d2(-vs) - third

        # Capacitance in parallel with C4: D1 and D2 in symmetric; in asymmetric D1, with D2 and D3 as a divider.
        c4_all = c4 + {"lifted": 0.0, "symmetric": 2 * cd, "asymmetric": cd}[switch]

        def rhs(y, vin):
            supply, bias, vc1, vc2, vc3, vc4, o1, vc5, vc6, o2, vc7, vc8, vc9 = y[:13]
            b1 = vin - vc1
            e1, ib1 = first_follower(b1, supply, bias, vc2)
            p1 = e1 - vc2
            legs = share * bias
            m1, n1, t, n3, n4 = o1 + vc4, legs + vc3, legs + vc5, legs + vc6, o2 - vc7
            w, m2 = tone_nodes(t, n3, o2)
            b2, e2, ib2 = second_follower(supply, bias, n4, vc8, vc9)

            i1 = (b1 - bias) * g2 + ib1
            i2 = (p1 - bias) * g5 + ib
            i3 = (m1 - n1) * g4
            vs = y[13] if switch == "asymmetric" else 0.0
            out_of_m1, into_d23 = diode_currents(m1, o1, vs)
            # Feedback and diode current out of m1 must be replaced by its capacitors.
            i4 = -(i3 + (m1 - o1) * gf + out_of_m1 + ib)
            i5 = (o1 - t) * g7 - (t - bias) * g8 - ib - (t - w) * ga
            i6 = (w - n3) * g9
            i7 = (n4 - b2 - vc8) * gh
            i8 = (b2 - bias) * g12 + ib2
            i9 = (e2 - vc9) * gout
            # Op-amp output currents; all current from o1 towards m1 continues into R4 or the input pin.
            source1 = (o1 - t) * g7 + i3 + ib
            source2 = (o2 - m2) * g10 + i7
            i10 = (
                (supply - bias) * g15
                - bias * g16
                + (b1 - bias) * g2
                + (p1 - bias) * g5
                + share * (i3 + i5 + i6)
                + (t - bias) * g8
                + (b2 - bias) * g12
            )
            # Q1's collector current is its emitter current less its base current; Q2's is similar.
            ic1 = e1 * g3 + i2 - ib1
            ic2 = e2 * g13 + i9 - ib2
            i11 = (
                (volts - supply) * g17
                - (supply - bias) * g15
                - ic1
                - ic2
                - quiescent
                - (source1 if source1 > 0 else 0.0)
                - (source2 if source2 > 0 else 0.0)
            )
            if switch == "asymmetric":
                # m1:  (C4 + C_D1) a' + C_D3 (a' - s') = i4      a = m1 - o1, s = d23 - o1
                # d23: C_D2 s' + C_D3 (s' - a') = into_d23
                det = (c4_all + cd) * 2 * cd - cd * cd
                a = (i4 * 2 * cd + into_d23 * cd) / det
                s = (into_d23 * (c4_all + cd) + i4 * cd) / det
            else:
                a, s = i4 / c4_all, 0.0
            result = [
                i11 / c11,
                i10 / c10,
                i1 / c1,
                i2 / c2,
                i3 / c3,
                a,
                opamp(o1, p1 - m1, supply, 0.0, p1),
                i5 / c5,
                i6 / c6,
                opamp(o2, t - m2, supply, 0.0, t),
                i7 / c7,
                i8 / c8,
                i9 / c9,
            ]
            if switch == "asymmetric":
                result.append(s)
            return result

        def nodes(y, vin):
            """Voltage of every node of the schematic, V."""
            supply, bias, vc1, vc2, vc3, vc4, o1, vc5, vc6, o2, vc7, vc8, vc9 = y[:13]
            b1 = vin - vc1
            e1, _ = first_follower(b1, supply, bias, vc2)
            legs = share * bias
            t, n3, n4, m1 = legs + vc5, legs + vc6, o2 - vc7, o1 + vc4
            w, m2 = tone_nodes(t, n3, o2)
            b2, e2, _ = second_follower(supply, bias, n4, vc8, vc9)
            vol = b2 + vc8
            i7 = (n4 - vol) * gh
            voltages = {
                "dc": volts,
                "supply": supply,
                "bias": bias,
                "in": vin,
                "b1": b1,
                "e1": e1,
                "p1": e1 - vc2,
                "m1": m1,
                "n1": legs + vc3,
                "n2": m1 - (m1 - o1) * gf * P["R6"],
                "o1": o1,
                "t": t,
                "w": w,
                "n3": n3,
                "m2": m2,
                "o2": o2,
                "n4": n4,
                "v": n4 - i7 * P["R11"],
                "vol": vol,
                "b2": b2,
                "e2": e2,
                "n5": e2 - vc9,
                "out": (e2 - vc9) * gout * r14,
            }
            if switch == "asymmetric":
                voltages["d23"] = o1 + y[13]
            return voltages

        def output(y):
            """Voltage at `out`, V."""
            _, e2, _ = second_follower(y[0], y[1], y[9] - y[10], y[11], y[12])
            return (e2 - y[12]) * gout * r14

        self.rhs, self.nodes, self.output = rhs, nodes, output
        # Currents of capacitors scaled to volts; they are zero at the operating point.
        scale = [1 / g17 * c11, 5e3 * c10, 5e5 * c1, 1e4 * c2, 5e3 * c3, 1e5 * c4_all, 1 / omega]
        scale += [1e3 * c5, 1e3 * c6, 1 / omega, 5e4 * c7, 5e5 * c8, 1e5 * c9, 1e5 * c4_all]
        self.scale = np.array(scale[: self.size])
        leg = 4.4 * (1 - share)
        self.guess = [8.9, 4.4, -4.4, -0.7, leg, 0, 4.4, leg, leg, 4.4, 4.4, -4.4, 3.8, 0][: self.size]
