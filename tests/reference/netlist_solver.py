"""Solves what `npm run cliplead -- netlist --build BUILD --json` prints, and nothing else.

The second route of the reference. It knows no circuit: it adds up the equations of all primitives, as
engine/network/network.ts states them, with the numbers of the netlist:

  M dy/dt = f(t, y)     y: node voltages, currents of inductors, junction voltages, currents out of op-amps

One row of Kirchhoff's current law for each node, except at sources and at the input. It is solved by radau.py, which
shares nothing with the integrators of the hand-written equations. A netlist with an unknown kind or number is refused,
so that a new term of a device is not overlooked.
"""

import json
import math
import pathlib
import subprocess

import numpy as np

import radau

BOLTZMANN_J_PER_K = 1.380649e-23
ELEMENTARY_CHARGE_C = 1.602176634e-19
REPOSITORY = pathlib.Path(__file__).parents[2]
# Optional numbers of a device.
COMMON_MODE = {"commonModeHeadroomHighV", "commonModeHeadroomLowV", "commonModeReversal"}
UNDER_LOAD = {
    *("outputSaturationOhms", "outputSourceLimitA", "outputSinkLimitA"),
    *("currentLimitV", "currentLimitKnee"),
}
# Groups of them, each present or absent as a whole.
LEAK = {"collectorLeakageA", "collectorLeakageEmission"}
OPTIONAL = {
    "opamp": (COMMON_MODE, UNDER_LOAD),
    "diode": ({"builtInV", "transitSeconds"},),
    "npn": (LEAK,),
    "pnp": (LEAK,),
}
# The charge of a junction is counted in volts across this.
CHARGE_UNIT_F = 1e-12
RTOL = 1e-8
ATOL_V = 1e-10
FIRST_STEP_S = 1e-8
LONGEST_STEP_S = 1e-4
# Rounding alone moves the ends of a resistor of 2 ohms by 1e-11 V; the last steps at rest are exact.
REST_TOLERANCE_V = 1e-11

NUMBERS = {
    "resistor": {"ohms"},
    "capacitor": {"farads"},
    "inductor": {"henries"},
    "voltageSource": {"volts"},
    "converter": {"ratio", "outputOhms"},
    "diode": {
        *("inSeries", "saturationCurrentA", "emissionCoefficient", "seriesOhms"),
        *("junctionCapacitanceF", "junctionCapacitanceLaw", "parallelConductanceS"),
    },
    "npn": {"saturationCurrentA", "forwardBeta", "reverseBeta", "earlyV"},
    "pnp": {"saturationCurrentA", "forwardBeta", "reverseBeta", "earlyV"},
    "nJfet": {"betaAPerV2", "thresholdV", "lambdaPerV", "gateSaturationCurrentA"},
    "pJfet": {"betaAPerV2", "thresholdV", "lambdaPerV", "gateSaturationCurrentA"},
    "nMosfet": {"betaAPerV2", "thresholdV", "lambdaPerV", "gateSaturationCurrentA"},
    "opamp": {
        *("supplyNodes", "gainBandwidthHz", "slewVPerS", "openLoopGain", "headroomHighV", "headroomLowV"),
        *("inputBiasA", "quiescentA", "limitKneeV", "limitSlewExcessV", "startingSupplyV"),
        "leastSupplyV",
    },
}


def netlist_of(build, knobs=()):
    """The netlist of a preset or build file from the command line; knobs are (name, rotation)."""
    turned = [word for name, rotation in knobs for word in ("--knob", f"{name}={rotation}")]
    command = ["node", "engine/cli/cliplead.mjs", "netlist", "--build", str(build), "--json", *turned]
    return json.loads(subprocess.run(command, cwd=REPOSITORY, check=True, capture_output=True, text=True).stdout)


def growing_exponential(argument):
    """exp and its derivative. Above 200 it continues as its tangent, so that a step of Newton's method cannot overflow."""
    bounded = np.minimum(argument, 200.0)
    value = np.exp(bounded)
    return value * (1 + argument - bounded), value


class Devices:
    """Nonlinear devices of one kind: currents as functions of port voltages, for many states at once.

    ports   [devices * port count, unknowns]: rows that give the port voltages from y
    spread  [unknowns, devices * current count]: where the currents enter the rows of f, with their sign
    """

    def __init__(self, parts, ports, spread):
        self.parts, self.ports, self.spread = parts, np.array(ports), np.array(spread).T
        self.numbers = {}

    def number(self, key):
        if key not in self.numbers:
            self.numbers[key] = np.array([float(part[key]) for part in self.parts])
        return self.numbers[key]


class Diodes(Devices):
    """Port: junction voltage of the string. Current: through it."""

    def law(self, u, vt):
        vj = u[..., 0]
        nvt = self.number("inSeries") * self.number("emissionCoefficient") * vt
        value, slope = growing_exponential(vj / nvt)
        gmin, i_s = self.number("parallelConductanceS"), self.number("saturationCurrentA")
        return [i_s * (value - 1) + gmin * vj], [[i_s * slope / nvt + gmin]]


class ChargedDiodes(Diodes):
    """Port: junction voltage of the string. Currents: through it, and its charge, which its own row takes."""

    def law(self, u, vt):
        [amps], [[siemens]] = super().law(u, vt)
        vj, count, gmin = u[..., 0], self.number("inSeries"), self.number("parallelConductanceS")
        zero_bias, built_in = self.number("junctionCapacitanceF"), self.number("builtInV")
        transit = self.number("transitSeconds")
        v = vj / count
        within = np.minimum(v, built_in / 2)
        root = np.sqrt(1 - within / built_in)
        beyond, rise = v - within, zero_bias * np.sqrt(2) / built_in
        farads = zero_bias / root + rise * beyond
        layer = 2 * zero_bias * built_in * (1 - root) + (zero_bias / root) * beyond + rise * beyond**2 / 2
        charge = layer - zero_bias * v + transit * (amps - gmin * vj)
        slope = (farads - zero_bias) / count + transit * (siemens - gmin)
        return [amps, charge / CHARGE_UNIT_F], [[siemens], [slope / CHARGE_UNIT_F]]


class Bipolars(Devices):
    """Ports: base-emitter, base-collector. Currents: into collector, into base."""

    def __init__(self, parts, ports, spread):
        super().__init__(parts, ports, spread)
        self.sign = np.array([1.0 if part["kind"] == "npn" else -1.0 for part in parts])

    def law(self, u, vt):
        sign = self.sign
        vbe, vbc = sign * u[..., 0], sign * u[..., 1]
        i_s, va = self.number("saturationCurrentA"), self.number("earlyV")
        bf, br = self.number("forwardBeta"), self.number("reverseBeta")
        (ef, df), (er, dr) = growing_exponential(vbe / vt), growing_exponential(vbc / vt)
        forward, reverse = i_s * (ef - 1), i_s * (er - 1)
        gf, gr = i_s * df / vt, i_s * dr / vt
        early = 1 - vbc / va
        collector = (forward - reverse) * early - reverse / br
        base = forward / bf + reverse / br
        leak, leak_slope = self.leak(vbc, vt)
        slopes = [
            [gf * early, -gr * early - (forward - reverse) / va - gr / br - leak_slope],
            [gf / bf, gr / br + leak_slope],
        ]
        return [sign * (collector - leak), sign * (base + leak)], slopes

    def leak(self, vbc, vt):
        amps = np.array([part.get("collectorLeakageA", 0.0) for part in self.parts])
        leak_vt = vt * np.array([part.get("collectorLeakageEmission", 1.0) for part in self.parts])
        value, slope = growing_exponential(vbc / leak_vt)
        return amps * (value - 1), amps * slope / leak_vt


class FieldEffects(Devices):
    """Ports: gate-source, drain-source. Currents: drain to source, gate to source, gate to drain."""

    def __init__(self, parts, ports, spread):
        super().__init__(parts, ports, spread)
        self.sign = np.array([-1.0 if part["kind"] == "pJfet" else 1.0 for part in parts])

    def law(self, u, vt):
        sign = self.sign
        vgs, vds = sign * u[..., 0], sign * u[..., 1]
        beta, lam = self.number("betaAPerV2"), self.number("lambdaPerV")
        turned = np.where(vds < 0, -1.0, 1.0)
        span, drive = np.abs(vds), np.where(vds < 0, vgs - vds, vgs) - self.number("thresholdV")
        on, saturated = drive > 0, span >= drive
        shape = np.where(saturated, drive * drive, span * (2 * drive - span))
        by_drive = np.where(saturated, 2 * drive, 2 * span)
        by_span = np.where(saturated, 0.0, 2 * drive - 2 * span)
        long = beta * (1 + lam * span)
        channel = np.where(on, turned * long * shape, 0.0)
        gate_slope = np.where(on, turned * long * by_drive, 0.0)
        drain_slope = np.where(on, long * by_span + beta * lam * shape, 0.0)
        drain_slope = drain_slope - np.where(vds < 0, gate_slope, 0.0)
        i_s = self.number("gateSaturationCurrentA")
        (es, ds), (ed, dd) = growing_exponential(vgs / vt), growing_exponential((vgs - vds) / vt)
        zero = np.zeros_like(vgs)
        slopes = [[gate_slope, drain_slope], [i_s * ds / vt, zero], [i_s * dd / vt, -i_s * dd / vt]]
        return [sign * channel, sign * i_s * (es - 1), sign * i_s * (ed - 1)], slopes


class Opamps(Devices):
    """Ports: v+, v-, output, positive pin, negative pin, current out of the output.

    Results: dx/dt over w, quiescent current, current sourced, current sunk (negative).
    """

    def __init__(self, parts, ports, spread):
        super().__init__(parts, ports, spread)
        keys = ("commonModeHeadroomHighV", "commonModeHeadroomLowV", "commonModeReversal")
        self.common = [np.array([float(part.get(key, 0.0)) for part in parts]) for key in keys]
        self.ranged = np.array([keys[0] in part for part in parts])
        # Without an output under load nothing is lost, whatever the current.
        load = ("outputSaturationOhms", "outputSourceLimitA", "outputSinkLimitA", "currentLimitV", "currentLimitKnee")
        none = (0.0, 1.0, 1.0, 0.0, 1.0)
        self.load = [np.array([float(part.get(key, z)) for part in parts]) for key, z in zip(load, none)]

    def law(self, u, vt):
        plus, minus, x, positive, negative, out = (u[..., k] for k in range(6))
        omega = 2 * math.pi * self.number("gainBandwidthHz")
        slew, gain = self.number("slewVPerS"), self.number("openLoopGain")
        high, low = positive - self.number("headroomHighV"), negative + self.number("headroomLowV")
        middle = (high + low) / 2
        ohms, source, sink, volts, width = self.load

        def knee_of(e, k):
            value = np.where(e <= 0, 0.0, np.where(e <= k, e * e / (2 * k), e - k / 2))
            return value, np.where(e <= 0, 0.0, np.where(e <= k, e / k, 1.0))

        (lost, lost_slope), (drawn, drawn_slope) = knee_of(out / source - 1, width), knee_of(-out / sink - 1, width)
        high, low = high - ohms * out - volts * lost, low - ohms * out + volts * drawn
        high_by_out, low_by_out = -ohms - volts / source * lost_slope, -ohms - volts / sink * drawn_slope
        # A supply too small for both headrooms: both limits are in the middle.
        lacking = np.maximum(low - high, 0.0) / 2
        other = np.where(lacking > 0, 0.5, 0.0)
        high, low = high + lacking, low - lacking
        knee, clamp = self.number("limitKneeV"), slew / self.number("limitSlewExcessV") / omega

        def ramp(e):
            return knee_of(e, knee)

        # For a type without an input range, the excess is that of -1 V: none.
        (over, over_slope), (under, under_slope) = (
            ramp(np.where(self.ranged, edge, -1.0))
            for edge in (plus - positive + self.common[0], negative + self.common[1] - plus)
        )
        turn = self.common[2]
        vd, by_plus = plus - over + turn * under - minus, 1 - over_slope - turn * under_slope
        (above, above_slope), (below, below_slope) = ramp(x - high), ramp(low - x)
        drive = omega * vd / slew
        root = np.sqrt(1 + drive * drive)
        by_vd = root**-3
        rate = slew / omega * drive / root - (x - middle) / gain - clamp * (above - below)
        at_high = clamp * ((1 - other) * above_slope + other * below_slope)
        at_low = clamp * ((1 - other) * below_slope + other * above_slope)
        quiescent, starting = self.number("quiescentA"), self.number("startingSupplyV")
        supplied = (positive - negative) / starting
        draw = quiescent * np.clip(supplied, 0.0, 1.0)
        draw_slope = np.where((supplied > 0) & (supplied < 1), quiescent / starting, 0.0)
        least = self.number("leastSupplyV")
        carried = (positive - negative) / least
        share, turn_on = np.clip(carried, 0.0, 1.0), np.where((carried > 0) & (carried < 1), 1 / least, 0.0)
        sourced, sunk = np.maximum(out, 0.0), np.minimum(out, 0.0)
        zero = np.zeros_like(x)
        slopes = [
            [
                by_plus * by_vd,
                -by_vd,
                -1 / gain - at_high - at_low,
                at_high + 0.5 / gain + over_slope * by_vd,
                at_low + 0.5 / gain + turn * under_slope * by_vd,
                at_high * high_by_out + at_low * low_by_out,
            ],
            [zero, zero, zero, draw_slope, -draw_slope, zero],
            [zero, zero, zero, turn_on * sourced, -turn_on * sourced, np.where(out > 0, share, zero)],
            [zero, zero, zero, turn_on * sunk, -turn_on * sunk, np.where(out > 0, zero, share)],
        ]
        return [rate, draw, share * sourced, share * sunk], slopes


class Circuit:
    """Equations of a netlist. `drive` is the input voltage as a function of time, s, set by `transient`."""

    def __init__(self, netlist):
        self.vt = BOLTZMANN_J_PER_K * netlist["temperatureK"] / ELEMENTARY_CHARGE_C
        self.ground, self.output = netlist["ground"], netlist["output"]
        parts = netlist["parts"]
        for part in parts:
            numbers = set(part) - {"ref", "origin", "kind", "nodes"}
            plain = numbers
            for group in OPTIONAL.get(part["kind"], ()):
                plain = plain - group if group <= numbers else plain
            if NUMBERS.get(part["kind"]) != plain:
                raise ValueError(f"{part['ref']}: a {part['kind']} with {sorted(numbers)} is not known here")
        nodes = [netlist["input"], *(n for p in parts for n in (*p["nodes"], *p.get("supplyNodes", ())))]
        self.nodes = [name for name in dict.fromkeys(nodes) if name != self.ground]
        extra = [("extra", p["ref"]) for p in parts if p["kind"] in ("inductor", "diode", "opamp")]
        charges = [("charge", p["ref"]) for p in parts if "builtInV" in p]
        self.index = {name: k for k, name in enumerate([*self.nodes, *extra, *charges])}
        self.size = len(self.index)
        self.mass, self.linear = np.zeros((2, self.size, self.size))
        self.constant, self.by_input = np.zeros(self.size), np.zeros(self.size)
        self.drive = lambda times: np.zeros(len(times))
        devices = {"diode": [], "charged": [], "bipolar": [], "field": [], "opamp": []}
        for part in parts:
            getattr(self, f"_{part['kind']}")(part, devices)
        makers = {"diode": Diodes, "charged": ChargedDiodes, "bipolar": Bipolars, "field": FieldEffects, "opamp": Opamps}
        self.devices = []
        for kind, entries in devices.items():
            if entries:
                ports = [row for _, rows, _ in entries for row in rows]
                spread = [row for _, _, rows in entries for row in rows]
                self.devices.append(makers[kind]([part for part, _, _ in entries], ports, spread))
        self._drop_driven(netlist["input"], parts)

    def _row(self, *entries):
        """A row vector over y of (node or extra, factor); ground has none."""
        row = np.zeros(self.size)
        for name, factor in entries:
            if name != self.ground:
                row[self.index[name]] += factor
        return row

    def _between(self, matrix, a, b, value):
        """Adds `value` times (v_a - v_b) to what leaves a and enters b."""
        across = self._row((a, value), (b, -value))
        if a != self.ground:
            matrix[self.index[a]] += across
        if b != self.ground:
            matrix[self.index[b]] -= across

    def _resistor(self, part, devices):
        self._between(self.linear, *part["nodes"], 1 / part["ohms"])

    def _capacitor(self, part, devices):
        self._between(self.mass, *part["nodes"], part["farads"])

    def _inductor(self, part, devices):
        own, (a, b) = ("extra", part["ref"]), part["nodes"]
        self.linear[:, self.index[own]] += self._row((a, 1.0), (b, -1.0))
        self.linear[self.index[own]] -= self._row((a, 1.0), (b, -1.0))
        self.mass[self.index[own], self.index[own]] = part["henries"]

    def _voltageSource(self, part, devices):
        if part["nodes"][1] != self.ground:
            raise ValueError(f"{part['ref']} is not referred to ground")

    def _converter(self, part, devices):
        supply, out = part["nodes"]
        current = self._row((supply, part["ratio"]), (out, -1.0)) / part["outputOhms"]
        for node, share in ((supply, part["ratio"]), (out, -1.0)):
            if node != self.ground:
                self.linear[self.index[node]] += share * current

    def _diode(self, part, devices):
        is_charged = "builtInV" in part
        if part["junctionCapacitanceLaw"] != ("abrupt" if is_charged else "constant"):
            raise ValueError(f"{part['ref']}: capacitance law {part['junctionCapacitanceLaw']}")
        own, (a, b) = ("extra", part["ref"]), part["nodes"]
        self._between(self.mass, a, b, part["junctionCapacitanceF"] / part["inSeries"])
        # 0 = v_a - v_b - vj - count R_S i; Kirchhoff's rows take i out of a and into b.
        self.linear[self.index[own]] -= self._row((a, 1.0), (b, -1.0), (own, -1.0))
        ohms = part["inSeries"] * part["seriesOhms"]
        spread = self._row((a, -1.0), (b, 1.0), (own, -ohms))
        if not is_charged:
            devices["diode"].append((part, [self._row((own, 1.0))], [spread]))
            return
        # 0 = q - x; dx/dt flows as i does, through the series resistance too.
        charge = ("charge", part["ref"])
        self.mass[:, self.index[charge]] -= CHARGE_UNIT_F * spread
        self.linear[self.index[charge], self.index[charge]] += 1
        taken = self._row((charge, 1.0))
        devices["charged"].append((part, [self._row((own, 1.0))], [spread, taken]))

    def _npn(self, part, devices):
        collector, base, emitter = part["nodes"]
        ports = [self._row((base, 1.0), (emitter, -1.0)), self._row((base, 1.0), (collector, -1.0))]
        spread = [self._row((collector, -1.0), (emitter, 1.0)), self._row((base, -1.0), (emitter, 1.0))]
        devices["bipolar"].append((part, ports, spread))

    _pnp = _npn

    def _nJfet(self, part, devices):
        drain, gate, source = part["nodes"]
        ports = [self._row((gate, 1.0), (source, -1.0)), self._row((drain, 1.0), (source, -1.0))]
        pairs = ((drain, source), (gate, source), (gate, drain))
        devices["field"].append((part, ports, [self._row((a, -1.0), (b, 1.0)) for a, b in pairs]))

    _pJfet = _nJfet
    _nMosfet = _nJfet

    def _opamp(self, part, devices):
        own, (plus, minus, out), (positive, negative) = ("extra", part["ref"]), part["nodes"], part["supplyNodes"]
        for pin in (plus, minus):
            self.constant -= self._row((pin, part["inputBiasA"]))
        # The op-amp's output current enters its net; the op-amp's own equation is in the row of that current.
        if out == self.ground:
            raise ValueError(f"{part['ref']} drives ground")
        self.linear[self.index[out], self.index[own]] -= 1
        self.mass[self.index[own], self.index[out]] = 1 / (2 * math.pi * part["gainBandwidthHz"])
        ports = [
            self._row((name, 1.0)) for name in (plus, minus, out, positive, negative, own)
        ]
        spread = [self._row((own, 1.0)), self._row((positive, -1.0), (negative, 1.0))]
        spread += [self._row((positive, -1.0)), self._row((negative, -1.0))]
        devices["opamp"].append((part, ports, spread))

    def _drop_driven(self, input_node, parts):
        """Replaces the rows of nodes with a given voltage by 0 = E - v."""
        driven = [(p["nodes"][0], p["volts"]) for p in parts if p["kind"] == "voltageSource"]
        self.given = {self.index[node]: volts for node, volts in [*driven, (input_node, 0.0)]}
        for row, volts in self.given.items():
            node = self.nodes[row]
            self.mass[row], self.linear[row] = 0.0, self._row((node, 1.0))
            self.constant[row] = volts
            for device in self.devices:
                device.spread[row] = 0.0
        self.by_input[self.index[input_node]] = 1.0

    def right(self, times, states):
        """f at each time and state, shape [times, unknowns]."""
        result = self.constant - states @ self.linear.T + self.drive(times)[:, None] * self.by_input
        for device in self.devices:
            ports = (states @ device.ports.T).reshape(len(states), len(device.parts), -1)
            currents, _ = device.law(ports, self.vt)
            result += np.stack(currents, axis=-1).reshape(len(states), -1) @ device.spread.T
        return result

    def jacobian(self, t, state):
        """Derivatives of f with respect to y."""
        result = -self.linear.copy()
        for device in self.devices:
            count = len(device.parts)
            _, slopes = device.law((device.ports @ state).reshape(count, -1), self.vt)
            by_port = np.array([[np.broadcast_to(entry, count) for entry in row] for row in slopes])
            ports = device.ports.reshape(count, -1, self.size)
            rows = np.einsum("cpd,dpy->dcy", by_port, ports).reshape(-1, self.size)
            result += device.spread @ rows
        return result

    def rest(self, from_v=None):
        """State at rest with 0 V at the input: time steps that grow until nothing changes.

        Every node starts at half the supply, or at another voltage. If the capacitors were empty at the start, the inputs of a TL072 would be at
        the negative supply until the bias has risen; there its output reverses, and the circuit oscillates.
        """
        self.drive = lambda times: np.zeros(len(times))
        y, step = np.zeros(self.size), 1e-8
        y[: len(self.nodes)] = max(self.given.values()) / 2 if from_v is None else from_v
        for row, volts in self.given.items():
            y[row] = volts
        while step < 1e9:
            moved = self._euler(y, step)
            y, step = (y, step / 8) if moved is None else (moved, step * 2)
            if step < 1e-16:
                raise ArithmeticError("no operating point")
        for _ in range(3):
            y = y - np.linalg.solve(self.jacobian(0.0, y), self.right(np.zeros(1), y[None])[0])
        return y

    def _euler(self, start, step):
        """One backward Euler step by the damped Newton method, None if it fails."""
        y, rate = start.copy(), self.mass / step
        for _ in range(200):
            residual = self.right(np.zeros(1), y[None])[0] - rate @ (y - start)
            try:
                move = np.linalg.solve(rate - self.jacobian(0.0, y), residual)
            except np.linalg.LinAlgError:
                return None
            largest = float(np.max(np.abs(move[: len(self.nodes)])))
            if not math.isfinite(largest):
                return None
            share = min([1.0, 2.0 / (largest + 1e-30)])
            for device in self.devices:
                if not isinstance(device, Opamps):
                    share = min(share, 0.1 / (float(np.max(np.abs(device.ports @ move))) + 1e-30))
            y = y + share * move
            if share == 1.0 and largest < REST_TOLERANCE_V * (1 + float(np.max(np.abs(y)))):
                return y
        return None

    def volts(self, state):
        """Voltage of every node by name."""
        return {name: float(state[k]) for k, name in enumerate(self.nodes)}

    def response(self, state, frequencies_hz):
        """Complex gain from input to output about a state: (s M - df/dy) dy = df/dvin."""
        jacobian, pick = self.jacobian(0.0, state), self._row((self.output, 1.0))
        solve = lambda f: pick @ np.linalg.solve(2j * math.pi * f * self.mass - jacobian, self.by_input)
        return np.array([solve(f) for f in frequencies_hz])

    def transient(self, signal, times_s, start, longest_s=LONGEST_STEP_S):
        """Output voltage at the given times (first 0), from a state at rest."""
        self.drive = lambda times: np.array([signal(t) for t in times])
        atol = np.full(self.size, ATOL_V)
        # The currents of op-amps follow from the rest; they do not determine the step.
        for name, k in self.index.items():
            if isinstance(name, tuple) and name[0] == "extra":
                atol[k] = 1e3
        options = {"rtol": RTOL, "atol": atol, "first_s": FIRST_STEP_S, "most_s": longest_s}
        return radau.integrate(self, start, times_s, self._row((self.output, 1.0)), options)
