"""Small-signal response: complex nodal equations, one row for each node, with each device replaced by its derivatives.

The rows of a circuit are written by hand from its schematic, in soft_clip_response.py and clean_blend_response.py,
independently of the right-hand sides of the transients. `state_space` derives the same response from such a right-hand
side by differences: each checks the other.
"""

import math

import numpy as np

import devices

FREQUENCIES_HZ = 20.0 * 1000.0 ** (np.arange(61) / 60)


def transistor(voltages, collector, base, emitter, data):
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


def diode(volts, data):
    """Conductance of a diode with its series resistance at a voltage, S."""
    nvt = data["emissionCoefficient"] * devices.THERMAL_VOLTAGE_V
    parallel = devices.parallel_siemens(data)
    vj, g = 0.0, 0.0
    for _ in range(100):
        i = data["saturationCurrentA"] * math.expm1(vj / nvt) + parallel * vj
        g = data["saturationCurrentA"] * math.exp(vj / nvt) / nvt + parallel
        vj -= (vj + data["seriesOhms"] * i - volts) / (1 + data["seriesOhms"] * g)
    return g / (1 + data["seriesOhms"] * g)


class NodalRows:
    """The complex equations of a circuit at s: the currents that leave each node sum to zero."""

    def __init__(self, s, links, outputs):
        """links: admittances from each node to its neighbours ("0" is ground, "in" has 1 V, "dc" none);
        outputs: nodes that an op-amp drives, whose row is the op-amp's."""
        self.s, self.known = s, {"0": 0.0, "dc": 0.0, "in": 1.0}
        order = [*links, *outputs]
        self.index = {name: k for k, name in enumerate(order)}
        self.matrix = np.zeros((len(order), len(order)), complex)
        self.right = np.zeros(len(order), complex)
        for name, neighbours in links.items():
            for neighbour, admittance in neighbours.items():
                self.add(name, name, admittance)
                self.add(name, neighbour, -admittance)

    def add(self, row, column, value):
        if column in self.known:
            self.right[self.index[row]] -= value * self.known[column]
        else:
            self.matrix[self.index[row], self.index[column]] += value

    def opamp(self, data, volts, names):
        """Row of one op-amp within its rails: s x = w s'(u) vd - (w/A0)(x - middle of the supply pins)."""
        plus, minus, out, positive, negative = names
        omega = 2 * math.pi * data["gainBandwidthHz"]
        leak = omega / data["openLoopGain"]
        drive = omega * (volts[plus] - volts[minus]) / data["slewVPerS"]
        slope = omega * (1 + drive * drive) ** -1.5
        self.add(out, out, (self.s + leak) / omega)
        self.add(out, positive, -leak / 2 / omega)
        self.add(out, negative, -leak / 2 / omega)
        self.add(out, plus, -slope / omega)
        self.add(out, minus, slope / omega)

    def gain(self, node):
        """Voltage of a node for 1 V at the input."""
        return np.linalg.solve(self.matrix, self.right)[self.index[node]]


def response(gain, preset, voltages):
    """Complex gain from `in` to `out` at FREQUENCIES_HZ by a circuit's equations."""
    return np.array([gain(preset, voltages, 2j * math.pi * f) for f in FREQUENCIES_HZ])


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
