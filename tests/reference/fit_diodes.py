"""Fits the catalogue's diodes to the points of diode_points.py: python3 tests/reference/fit_diodes.py

  i = I_S (exp(vj/nVt) - 1) + G vj,   v = vj + R_S i      27 C

Least squares of the voltages; with a point backwards, G is what the junction leaves of that current. Writes
vectors/diode-cards.json: the four numbers, rounded as the catalogue has them, and the voltages and the reverse current
that they give, solved by Brent's method. Prints the error at every point. Needs numpy and scipy; takes seconds.
"""

import json
import math
import pathlib

import numpy as np
from scipy.optimize import brentq, least_squares

from devices import THERMAL_VOLTAGE_V
from diode_points import POINTS
from encoding import made_by

FILE = pathlib.Path(__file__).parent / "vectors" / "diode-cards.json"
CURRENTS_A = (1e-5, 1e-4, 1e-3, 1e-2)
REVERSE_V = 1.5
# n of germanium and Schottky junctions is near 1; light-emitting diodes and channels have more.
EMISSION_LEAST, EMISSION_MOST = 1.0, 4.0
# The engine's exponential ends at 100 e-folds, so a junction of 2.6 V needs a little more n than its points ask for: at
# -10 C it must stay below.
WIDE_GAP_LEAST = {name: 1.4 for name in ("LED-blue", "LED-white", "LED-green-InGaN")}
STARTS = (1.05, 1.5, 2.0, 3.0)


def forward_v(card, amps):
    """Voltage at a forward current, V."""
    i_s, n, ohms, leak = card
    ceiling = n * THERMAL_VOLTAGE_V * math.log1p(amps / i_s)
    residual = lambda v: i_s * math.expm1(v / n / THERMAL_VOLTAGE_V) + leak * v - amps
    return (brentq(residual, 0.0, ceiling, xtol=1e-15, rtol=1e-14) if leak else ceiling) + amps * ohms


def reverse_a(card, volts):
    """Current at a reverse voltage, A."""
    i_s, n, _, leak = card
    return leak * volts - i_s * math.expm1(-volts / n / THERMAL_VOLTAGE_V)


def card_of(numbers, backwards):
    """I_S, n, R_S and G from the logarithm of I_S, n and R_S."""
    i_s, n, ohms = math.exp(numbers[0]), numbers[1], numbers[2]
    if backwards is None:
        return i_s, n, ohms, 0.0
    volts, amps = backwards
    return i_s, n, ohms, max(0.0, (amps - reverse_a((i_s, n, ohms, 0.0), volts)) / volts)


def fit(points, backwards, least_n):
    def errors(numbers):
        card = card_of(numbers, backwards)
        return [forward_v(card, amps) - volts for amps, volts in points]

    trials = []
    for n in (max(start_n, 1.01 * least_n) for start_n in STARTS):
        start = (math.log(points[0][0]) - points[0][1] / (n * THERMAL_VOLTAGE_V), n, 1.0)
        bounds = ((-200.0, least_n, 0.0), (0.0, EMISSION_MOST, 500.0))
        options = {"x_scale": (1.0, 0.1, 10.0), "xtol": 1e-12, "ftol": 1e-14, "gtol": 1e-14}
        trials.append(least_squares(errors, start, bounds=bounds, **options))
    best = min(trials, key=lambda trial: trial.cost)
    return card_of(best.x, backwards)


def rounded(card):
    """Four digits; n has five, since an error of it counts for many e-folds."""
    digits = (4, 5, 3, 3)
    return tuple(float(f"{value:.{count}g}") for value, count in zip(card, digits))


def main():
    cards = {}
    for name, (points, backwards) in POINTS.items():
        # I_S is fitted again with the others rounded, or the rounded n would move the whole curve.
        _, n, ohms, leak = rounded(fit(points, backwards, WIDE_GAP_LEAST.get(name, EMISSION_LEAST)))
        offset = lambda log_is: [forward_v((math.exp(log_is[0]), n, ohms, leak), a) - v for a, v in points]
        start = math.log(points[0][0]) - points[0][1] / (n * THERMAL_VOLTAGE_V)
        i_s = math.exp(least_squares(offset, [start], xtol=1e-14).x[0])
        card = (float(f"{i_s:.4g}"), n, ohms, leak)
        worst = max(((forward_v(card, a) - v, a) for a, v in points), key=lambda pair: abs(pair[0]))
        print(f"{name:20} IS {card[0]:.4g} N {card[1]} RS {card[2]} G {card[3]}: worst {1e3 * worst[0]:.1f} mV at {worst[1]} A")
        cards[name] = {
            **dict(zip(("saturationCurrentA", "emissionCoefficient", "seriesOhms", "leakageS"), card)),
            "forwardV": [round(forward_v(card, amps), 12) for amps in CURRENTS_A],
            "reverseA": reverse_a(card, REVERSE_V),
        }
    method = "scipy.optimize.least_squares, brentq"
    record = {"madeBy": made_by(method), "currentsA": CURRENTS_A, "reverseV": REVERSE_V, "cards": cards}
    record["madeBy"]["script"] = "tests/reference/fit_diodes.py"
    FILE.write_text(json.dumps(record, indent=2) + "\n")


if __name__ == "__main__":
    main()
