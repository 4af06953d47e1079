"""The JFET booster of presets/jfet-plain.json: its equations written by hand from the schematic, not from a netlist.

  Kirchhoff's current law at the gate's bias (gb), gate (g), drain (d), source (s), ends of C2 (n) and C3 (b), and supply (v);
  J201 by I. Shichman and D. Hodges: i = beta (1 + lambda v_DS) u^2 saturated, v_DS (2u - v_DS) below, u = v_GS - V_to,
  with junctions from gate to drain and to source, 1 pF and 3 pF.

Rest by scipy.optimize.fsolve, response from the equations linearised by central differences, output in time by radau.py. Writes
vectors/jfet-booster.json.
"""

import json
import math
import pathlib

import numpy as np
from scipy.optimize import fsolve

import radau

VECTORS = pathlib.Path(__file__).parent / "vectors"
VT = 1.380649e-23 * 300.15 / 1.602176634e-19
# Values of the schematic; knobs: gain fully clockwise, output at 0.6 of the audio-15 track.
R1, R2, R3, R4, R5, R17 = 2.2e6, 1e6, 10e3, 18e3, 820.0, 100.0
C1, C2, C3, C11, C13 = 22e-9, 22e-6, 1e-6, 100e-6, 100e-9
SUPPLY_V, VR2, END_OHMS = 9.0, 100e3, 2.0
# J201, published card.
BETA, V_TO, LAMBDA, GATE_A, C_GD, C_GS = 1.621e-3, -0.6, 2.236e-3, 114.5e-15, 1e-12, 3e-12
# The protection diode 1N4001 across an ideal supply draws nothing that matters.
NAMES = ("gate bias", "gate", "drain", "source", "C2.2", "boosted", "supply")
GB, G, D, S, N, B, V = range(7)
FREQUENCIES_HZ = (20.0, 100.0, 1000.0, 10000.0)
PEAKS_V = (0.1, 1.0)
RATE_HZ, SECONDS = 48000, 0.004


def audio_15(rotation):
    """The taper with 15 % of the track at half a turn: two straight lines."""
    return 0.3 * rotation if rotation < 0.5 else 0.15 + 1.7 * (rotation - 0.5)


LOWER = END_OHMS + audio_15(0.6) * VR2
TRACK = VR2 + 2 * END_OHMS
# Of VR1, fully clockwise with its other end at the wiper: the end resistance alone.
RHEOSTAT = END_OHMS


def junction(volts):
    return GATE_A * (np.exp(np.minimum(volts / VT, 100.0)) - 1)


def channel(v_gs, v_ds):
    """Current from drain to source, v_DS of either sign by exchanging the two."""
    if v_ds < 0:
        return -channel(v_gs - v_ds, -v_ds)
    u = v_gs - V_TO
    if u <= 0:
        return 0.0
    return BETA * (1 + LAMBDA * v_ds) * (u * u if v_ds >= u else v_ds * (2 * u - v_ds))


def currents(y):
    """What flows into each node, but for capacitors, A."""
    gate_d, gate_s = junction(y[G] - y[D]), junction(y[G] - y[S])
    drain = channel(y[G] - y[S], y[D] - y[S])
    through_r3 = (y[GB] - y[G]) / R3
    f = np.zeros(7)
    f[GB] = -y[GB] / R2 - through_r3
    f[G] = through_r3 - gate_d - gate_s
    f[D] = (y[V] - y[D]) / R4 - drain + gate_d
    f[S] = drain + gate_s - y[S] / R5
    f[N] = -y[N] / RHEOSTAT
    f[B] = -y[B] / TRACK
    f[V] = (SUPPLY_V - y[V]) / R17 - (y[V] - y[D]) / R4
    return f


def capacitances():
    """C of C dv/dt = currents, and the column of the input, which C1 couples in."""
    c = np.zeros((7, 7))
    for a, b, farads in ((G, D, C_GD), (G, S, C_GS), (S, N, C2), (D, B, C3)):
        c[a, a] += farads
        c[b, b] += farads
        c[a, b] -= farads
        c[b, a] -= farads
    c[GB, GB] += C1
    c[V, V] += C11 + C13
    into = np.zeros(7)
    into[GB] = C1
    return c, into


def slopes(y):
    step = 1e-6
    columns = [(currents(y + step * e) - currents(y - step * e)) / (2 * step) for e in np.eye(7)]
    return np.array(columns).T


class Driven:
    """For radau.py, with the input's charge C1 v_in taken into the unknown of the gate's bias: z = v_gb - v_in."""

    def __init__(self, drive):
        self.mass, self.drive = capacitances()[0], drive

    def state(self, t, z):
        y = z.copy()
        y[GB] += self.drive(t)
        return y

    def right(self, times, states):
        return np.array([currents(self.state(t, z)) for t, z in zip(times, states)])

    def jacobian(self, t, z):
        return slopes(self.state(t, z))


def rest():
    y = fsolve(currents, [0, 0, 4.5, 0.2, 0, 0, 9], xtol=1e-12)
    for _ in range(3):
        y = y - np.linalg.solve(slopes(y), currents(y))
    return y


def response(y):
    mass, into = capacitances()
    jacobian, points = slopes(y), []
    for hz in FREQUENCIES_HZ:
        s = 2j * math.pi * hz
        gain = np.linalg.solve(s * mass - jacobian, s * into)[B] * LOWER / TRACK
        points.append(
            {"hz": hz, "decibels": 20 * math.log10(abs(gain)), "phaseDegrees": math.degrees(np.angle(gain))}
        )
    return points


def output(y, peak_v):
    system = Driven(lambda t: peak_v * math.sin(2 * math.pi * 1000 * t) ** 3)
    times = np.arange(round(RATE_HZ * SECONDS)) / RATE_HZ
    pick = np.zeros(7)
    pick[B] = LOWER / TRACK
    options = {"rtol": 1e-9, "atol": np.full(7, 1e-10), "first_s": 1e-8, "most_s": 1e-5}
    return [round(float(v), 10) for v in radau.integrate(system, y, times, pick, options)]


def main():
    y = rest()
    made = {
        "madeBy": "jfet_booster.py, equations by hand; scipy.optimize.fsolve, radau.py",
        "rateHz": RATE_HZ,
        "restV": dict(zip(NAMES, y.tolist())),
        "response": response(y),
        "outputs": [{"peakV": peak_v, "samplesV": output(y, peak_v)} for peak_v in PEAKS_V],
    }
    (VECTORS / "jfet-booster.json").write_text(json.dumps(made, indent=2) + "\n")


if __name__ == "__main__":
    main()
