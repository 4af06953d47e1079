"""Base-emitter junction of measured germanium transistors as a diode: python3 tests/reference/germanium_junctions.py

The cards of one AC128 and one OC44 in Holmes, Holters & van Walstijn, "Comparison of Germanium BJT Models for Real-Time
Circuit Simulation" (DAFx-17), as quoted elsewhere; the paper was not read. Extended Ebers-Moll with leakage diodes:

  i_F = IS (exp(v_BE/(NF VT)) - 1)      i_R likewise with v_BC, NR      i_CT = (i_F - i_R) (1 - v_BE/VAR - v_BC/VAF)
  i_B = i_F/BF + ISE (exp(v_BE/(NE VT)) - 1) + i_R/BR + ISC (exp(v_BC/(NC VT)) - 1)      i_C = i_CT - (last two)

High injection is left out: IKF is 44 mA or more. Prints the voltage at 10 uA to 10 mA with the collector open, the
reverse current at 1.5 V, and v_BE, current gain and leakage of the transistor in use. Needs scipy.
"""

import math

from scipy.optimize import brentq

VT = 25.5e-3
CARDS = {
    "AC128": {
        **{"IS": 20.66e-6, "BF": 229.6, "BR": 14.66, "NF": 1.133, "NR": 1.140, "VAF": 19.68, "VAR": 88.28},
        **{"ISE": 2.190e-6, "NE": 1.796, "ISC": 7.546e-6, "NC": 1.364, "RB": 1.885, "RE": 0.306},
    },
    "OC44": {
        **{"IS": 1.423e-6, "BF": 307.0, "BR": 20.27, "NF": 1.022, "NR": 1.025, "VAF": 8.167, "VAR": 14.84},
        **{"ISE": 30.54e-9, "NE": 1.316, "ISC": 213.5e-9, "NC": 1.258, "RB": 32.83, "RE": 0.969},
    },
}


def currents(card, vbe, vbc):
    """Collector and base current, A."""
    forward = card["IS"] * math.expm1(vbe / card["NF"] / VT)
    reverse = card["IS"] * math.expm1(vbc / card["NR"] / VT)
    transported = (forward - reverse) * (1 - vbe / card["VAR"] - vbc / card["VAF"])
    to_emitter = forward / card["BF"] + card["ISE"] * math.expm1(vbe / card["NE"] / VT)
    to_collector = reverse / card["BR"] + card["ISC"] * math.expm1(vbc / card["NC"] / VT)
    return transported - to_collector, to_emitter + to_collector


def open_collector_a(card, vbe):
    """Base current with no collector current, A."""
    vbc = brentq(lambda v: currents(card, vbe, v)[0], -3.0, 0.6, xtol=1e-14)
    return currents(card, vbe, vbc)[1]


def main():
    for name, card in CARDS.items():
        volts = []
        for amps in (1e-5, 1e-4, 1e-3, 1e-2):
            inner = brentq(lambda v: open_collector_a(card, v) - amps, 1e-6, 0.45, xtol=1e-14)
            volts.append(inner + amps * (card["RB"] + card["RE"]))
        print(name, "base-emitter, collector open:", [round(v, 4) for v in volts], "V")
        print("  reverse at 1.5 V:", -open_collector_a(card, -1.5), "A")
        print("  collector to base at 5 V, emitter open:", card["IS"] / card["BR"] + card["ISC"], "A")
        for amps in (0.35e-3, 1e-3, 10e-3):
            vbe = brentq(lambda v: currents(card, v, v - 4.5)[0] - amps, 1e-3, 0.4, xtol=1e-14)
            base = currents(card, vbe, vbe - 4.5)[1]
            print(f"  at {amps} A: v_BE {vbe:.4f} V, base current {base:.4g} A, hFE {amps / base:.1f}")


if __name__ == "__main__":
    main()
