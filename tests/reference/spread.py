"""Spread from set to set: moments of the distributions and of an RC low-pass by quadrature, and a variance decomposition.

Run: python3 tests/reference/spread.py > tests/reference/vectors/spread.json (numpy, SciPy)

The model, stated in engine/builds/deviations.ts, is written again here: a normal deviate z, cut at 2.58 standard deviations,
of which half of the variance is common to a batch.
"""

import json
import math

import numpy as np
import scipy
from scipy.integrate import quad
from scipy.stats import norm

import presets
import soft_clip
import soft_clip_response

LIMIT = 2.58


def clamped(z):
    return np.clip(z / LIMIT, -1, 1)


def moments(amount):
    def mean_of(f):
        cuts = [-9, -LIMIT, 0, LIMIT, 9]
        return sum(quad(lambda z: f(amount(z)) * norm.pdf(z), a, b, epsabs=1e-13)[0] for a, b in zip(cuts, cuts[1:]))

    mean = mean_of(lambda a: a)
    return {"mean": mean, "deviation": math.sqrt(mean_of(lambda a: (a - mean) ** 2))}


def low_pass():
    """Gain of 10k (1 %) and 10n (10 %), dB: mean and standard deviation, by quadrature over both parts."""
    hz = [20 * 1000 ** (k / 59) for k in (15, 30, 45, 59)]

    def gain(f, r, c):
        w = 2 * math.pi * f * 1e4 * (1 + 0.01 * clamped(r)) * 1e-8 * (1 + 0.1 * clamped(c))
        return -10 * math.log10(1 + w * w)

    nodes, weights = np.polynomial.hermite_e.hermegauss(200)
    weights = weights / weights.sum()
    means, deviations = [], []
    for f in hz:
        table = np.array([[gain(f, r, c) for r in nodes] for c in nodes])
        mean = weights @ table @ weights
        means.append(mean)
        deviations.append(math.sqrt(weights @ (table - mean) ** 2 @ weights))
    return {"hz": hz, "meanDb": means, "deviationDb": deviations}


# Of soft-plain: parts with a tolerance of 20 % are electrolytic.
ELECTROLYTIC = ("C9", "C10", "C11")
PARTS = [ref for ref in presets.SOFT_CLIP_PARTS if ref != "V1"]
POTS = ("VR1", "VR2", "VR3")
CAUSES = PARTS + [f"{ref} {what}" for ref in POTS for what in ("value", "taper")]
MAIN_CAUSES = ["C1", "C2", "C3", "C5", "C6", "VR1 value", "VR1 taper", "VR2 value", "VR3 taper"]
# Where the level is stated, and every fifth of the 60 frequencies of a run.
LEVEL_HZ = 1000.0
TONE_HZ = [20 * 1000 ** (k / 59) for k in range(2, 60, 5)]
SAMPLES = 4000


def batch(cause):
    """Parts of one kind and value come from one bag."""
    if cause.startswith("VR"):
        ref, what = cause.split()
        return (*presets.SOFT_CLIP_POTS[ref], what)
    return (cause[0], presets.SOFT_CLIP_PARTS[cause])


def tolerance(cause):
    if cause.startswith("VR"):
        return 0.05 if cause.endswith("taper") else 0.2
    return 0.01 if cause.startswith("R") else 0.2 if cause in ELECTROLYTIC else 0.1


def decomposition():
    """
    First-order indices Var(E[y|z_i])/Var(y) of level and tone by pick and freeze: the covariance of the outputs of two sets of
    parts that have z_i in common and are independent otherwise. Only resistors, capacitors and potentiometers differ here; the
    operating point is that of the printed values.
    """
    preset = presets.SOFT_CLIP["soft-plain"]
    circuit = soft_clip.SoftClip(preset)
    volts = circuit.nodes(circuit.operating_point().tolist(), 0.0)
    same = np.array([[1.0 if a == b else 0.5 if batch(a) == batch(b) else 0.0 for b in CAUSES] for a in CAUSES])
    root = np.linalg.cholesky(same)
    generator = np.random.default_rng(20)
    printed = presets.halves

    def outputs(z):
        factor = {cause: 1 + tolerance(cause) * clamped(z[k]) for k, cause in enumerate(CAUSES)}
        varied = {**preset, "parts": {ref: ohms * factor.get(ref, 1) for ref, ohms in preset["parts"].items()}}

        def halves(_, ref):
            ccw, cw = (ohms - presets.POT_END_OHMS for ohms in printed(preset, ref))
            share = ccw / (ccw + cw)
            share += 4 * (factor[f"{ref} taper"] - 1) * share * (1 - share)
            ohms = (ccw + cw) * factor[f"{ref} value"]
            return presets.POT_END_OHMS + share * ohms, presets.POT_END_OHMS + (1 - share) * ohms

        presets.halves = halves
        gains = [soft_clip_response.gain(varied, volts, 2j * math.pi * f) for f in [LEVEL_HZ, *TONE_HZ]]
        presets.halves = printed
        decibels = 20 * np.log10(np.abs(gains))
        return np.array([decibels[0], *(decibels[1:] - decibels[1:].mean())])

    first = generator.standard_normal((SAMPLES, len(CAUSES))) @ root.T
    y = np.array([outputs(z) for z in first])
    variance = y.var(axis=0)
    indices = {}
    for cause in MAIN_CAUSES:
        k = CAUSES.index(cause)
        other = generator.standard_normal((SAMPLES, len(CAUSES))) @ root.T
        other += np.outer(first[:, k] - other[:, k], same[k])
        frozen = np.array([outputs(z) for z in other])
        shared = ((y - y.mean(axis=0)) * (frozen - frozen.mean(axis=0))).mean(axis=0)
        indices[cause] = {"level": shared[0] / variance[0], "tone": shared[1:].sum() / variance[1:].sum()}
    return indices


def main():
    shares = [1e-9, 1e-4, 0.01, 0.0242, 0.0243, 0.2, 0.4999, 0.7, 0.999]
    print(
        json.dumps(
            {
                "versions": {"numpy": np.__version__, "scipy": scipy.__version__},
                "normal": [{"share": p, "deviate": float(norm.ppf(p))} for p in shares],
                "amounts": {
                    "resistor": moments(lambda z: 1 + 0.01 * clamped(z)),
                    "capacitor": moments(lambda z: 1 + 0.1 * clamped(z)),
                    "germanium leak": moments(lambda z: 3 ** clamped(z)),
                    "taper": moments(lambda z: 0.05 * clamped(z)),
                    # BC108, Philips: 0.55, 0.62, 0.70 V at 2 mA.
                    "base-emitter voltage": moments(lambda z: (0.08 if z > 0 else 0.07) * clamped(z)),
                },
                "lowPass": low_pass(),
                "softPlain": decomposition(),
            },
            indent=1,
        )
    )


if __name__ == "__main__":
    main()
