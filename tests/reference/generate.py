"""Makes the reference vectors again: python3 tests/reference/generate.py [--compare | --add] [--only PRESET ...]

Without an option every file in tests/reference/vectors is written anew. With --compare nothing is written:
everything is computed again and compared with the files within the tolerances of comparison.py, exit code 1 on a
difference. With --add the waves in a preset's file are kept, and only new signals are solved. Needs numpy
and scipy, and node for the second route; takes about half an hour on one core.

There are two routes. The equations that were written by hand from each schematic (soft_clip.py, clean_blend.py, hard_clip.py) make the
vectors. netlist_solver.py gets only the netlist that the command line prints, and must give the same.
"""

import argparse
import json
import pathlib
import sys

import numpy as np

import band_limit
import clean_blend
import clean_blend_response
import continuous
import diode_clipper
import hard_clip
import hard_clip_response
import knob_vectors
import netlist_stages
import presets
import response
import signals
import soft_clip
import soft_clip_response
import waves
from comparison import differences
from encoding import encode, made_by
from second_route import SecondRoute
from small_signal import SmallSignal

DIRECTORY = pathlib.Path(__file__).parent / "vectors"
# Cases solved again by Radau, a Runge-Kutta method, to confirm the multistep LSODA.
CONFIRMED = {
    ("soft-plain", "sine-1000Hz-1V"),
    ("soft-plain", "sine-1000Hz-2V"),
    ("soft-asymmetric", "plucked-1V"),
    ("soft-led", "step-0.2V"),
    ("soft-lifted", "sine-1000Hz-1V"),
    ("soft-lifted", "sine-5000Hz-1V"),
    ("clean-plain", "sine-1000Hz-1V"),
    ("clean-plain", "sine-5000Hz-0.2V"),
    ("clean-plain", "step-0.2V"),
    ("clean-single", "plucked-1V"),
    ("clean-silicon", "sine-440Hz-0.2V"),
    ("hard-plain", "sine-1000Hz-1V"),
}
# Cases that are solved again from the netlist: one of every preset, and the most difficult ones of two.
SECOND_ROUTE = ("plucked-0.2V", "step-0.2V")
SECOND_ROUTE_HARD = {
    ("soft-plain", "sine-1000Hz-1V"),
    ("soft-plain", "sine-1000Hz-2V"),
    ("clean-plain", "sine-1000Hz-1V"),
}
CIRCUITS = {
    **{
        name: (soft_clip.SoftClip, soft_clip_response.gain, presets.SOFT_CLIP_NETS, preset)
        for name, preset in presets.SOFT_CLIP.items()
    },
    **{
        name: (clean_blend.CleanBlend, clean_blend_response.gain, presets.CLEAN_BLEND_NETS, preset)
        for name, preset in presets.CLEAN_BLEND.items()
    },
    **{
        name: (hard_clip.HardClip, hard_clip_response.gain, presets.HARD_CLIP_NETS, preset)
        for name, preset in presets.HARD_CLIP.items()
    },
}


class Kept:
    """The existing contents of a preset's file for --add; empty without it."""

    def __init__(self, record=None):
        made_by, held = (record or {}).get("madeBy", {}), (record or {}).get("waves", {"vectors": []})
        # A file with the same duration for all waves may state it only once.
        once = {"durationSeconds": held["durationSeconds"]} if "durationSeconds" in held else {}
        self.vectors = {vector["name"]: {**once, **vector} for vector in held["vectors"]}
        self.confirmed = [line for line in made_by.get("confirmed", "").split("; ") if " by Radau: " in line]
        self.second_db = made_by.get("secondRoute", {}).get("wavesDb", {})

    def wave(self, test):
        """The stored vector of this signal, None if there is none."""
        vector = self.vectors.get(test.name)
        return vector if vector and waves.describe(test).items() <= vector.items() else None


def preset_vectors(name, kept):
    make, gain_at, nets, preset = CIRCUITS[name]
    circuit = make(preset)
    small = SmallSignal(circuit, gain_at, preset, name)
    second = SecondRoute(name, presets.numbers(preset)["devices"])
    from_netlist = second.compare((), small.voltages, nets, small.gain)
    # For presets with vectors of other knob positions, those are compared while they are made.
    for knob, position, moved in presets.knob_cases(preset) if name not in knob_vectors.PRESETS else ():
        turned = make(moved)
        at_rest = turned.nodes(turned.operating_point().tolist(), 0.0)
        second.compare(((knob, position),), at_rest, nets, response.response(gain_at, moved, at_rest))
    vectors, confirmed = [], kept.confirmed
    second.waves_db.update(kept.second_db)
    for test in signals.all_signals():
        if held := kept.wave(test):
            vectors.append({**waves.describe(test), "samplesBase64": held["samplesBase64"]})
            continue
        samples = waves.waveform(circuit, small.rest, test)
        if (name, test.name) in CONFIRMED:
            difference = waves.confirmation(circuit, small.rest, test, samples, name)
            confirmed.append(f"{test.name} by Radau: {difference:.0f} dB")
        if test.name in SECOND_ROUTE or (name, test.name) in SECOND_ROUTE_HARD:
            second.compare_wave(*from_netlist, test, samples)
        vectors.append(waves.record(test, samples, name))
    return {
        "preset": name,
        "madeBy": {
            **made_by("scipy.integrate.odeint (LSODA)"),
            "rtol": continuous.RTOL,
            "atolV": continuous.ATOL_V,
            "newtonToleranceV": continuous.NEWTON_TOLERANCE_V,
            "denseRateHz": band_limit.OUTPUT_RATE_HZ * waves.DENSE_FACTOR,
            "restDriftV": float(f"{small.drift_v:.1e}"),
            "responseCrossCheckDb": float(f"{small.apart_db:.1e}"),
            "confirmed": "; ".join(confirmed) or "none in this file",
            "secondRoute": second.record(),
        },
        "numbers": presets.numbers(preset),
        **small.record(),
        "waves": {**waves.header(), "vectors": vectors},
    }


def shared_vectors():
    """Sample values of the signals, of the kernel and of a band-limited test signal."""
    times = [0.0, 1e-5, 2.5e-4, 1e-3, 1.99e-3, 2.005e-3, 4.5779164e-3, 0.0123456, 0.0259]
    values = []
    for test in signals.all_signals():
        signal = signals.make(test)
        values.append({**signals.describe(test), "voltsBase64": encode([signal(t) for t in times], "<f8")})
    taus = np.array([0.0, 1e-6, 1e-5, 2.3e-5, 1.234e-4, -4.56e-4, 9.99e-4, 1e-3, 1.1e-3])
    factor = 8
    count = round(0.004 * band_limit.OUTPUT_RATE_HZ) * factor + 1
    pluck = signals.plucked(1.0)
    dense = np.array([pluck(k / (band_limit.OUTPUT_RATE_HZ * factor)) for k in range(count)])
    return {
        "madeBy": made_by("closed forms"),
        "encoding": "base64 of little-endian float64",
        "timesSecondsBase64": encode(times, "<f8"),
        "signals": values,
        "kernel": {
            "tausSecondsBase64": encode(taus, "<f8"),
            "valuesBase64": encode(band_limit.kernel(taus), "<f8"),
        },
        "bandLimited": {
            "signal": "plucked",
            "peakV": 1,
            "durationSeconds": 0.004,
            "factor": factor,
            "samplesBase64": encode(band_limit.band_limit(dense, factor), "<f8"),
        },
    }


def clipper_vectors():
    method = "scipy.integrate.solve_ivp (Radau, rtol 1e-12), scipy.optimize.brentq"
    return {"madeBy": made_by(method), **diode_clipper.vectors()}


def stage_vectors(file):
    method = f"netlist_solver.py (Radau IIA with mass matrix) on {file}"
    return {"madeBy": made_by(method), **netlist_stages.vectors(file)}


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    how = parser.add_mutually_exclusive_group()
    how.add_argument("--compare", action="store_true", help="compare with the kept files, write nothing")
    how.add_argument("--add", action="store_true", help="leave the presets' waves that are there, make the others")
    parser.add_argument("--only", nargs="+", metavar="NAME", help="file names without .json")
    options = parser.parse_args()
    kept = lambda name: Kept(json.loads((DIRECTORY / f"{name}.json").read_text()) if options.add else None)
    makers = {name: (lambda name=name: preset_vectors(name, kept(name))) for name in CIRCUITS}
    for name in knob_vectors.PRESETS:
        makers[f"{name}-knobs"] = lambda name=name: knob_vectors.knob_vectors(name, CIRCUITS[name])
    makers["shared"] = shared_vectors
    makers["diode-clipper"] = clipper_vectors
    for name in ("p-type", "charge", "chain"):
        makers[f"{name}-stages"] = lambda file=f"{name}-netlists.json": stage_vectors(file)
    DIRECTORY.mkdir(exist_ok=True)
    failures = []
    for name in options.only or makers:
        made = json.loads(json.dumps(makers[name]()))
        file = DIRECTORY / f"{name}.json"
        if options.compare:
            found = [f"{name}{place}" for place in differences(made, json.loads(file.read_text()))]
            failures += found
            print(f"{name}: {'differs' if found else 'agrees'}", flush=True)
        else:
            file.write_text(json.dumps(made, indent=2) + "\n")
            print(f"{name}: written, {file.stat().st_size} bytes", flush=True)
    for failure in failures:
        print(failure, file=sys.stderr)
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
