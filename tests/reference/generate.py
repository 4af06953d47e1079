"""Remakes the reference vectors: python3 tests/reference/generate.py [--compare] [--only PRESET ...]

Without an option every file in tests/reference/vectors is written anew. With --compare nothing is written:
everything is computed again and compared with the files within the tolerances below, exit code 1 on a
difference. Needs numpy and scipy, and node for the second route; takes about ten minutes on one core.

Two routes: the equations written by hand from each schematic (soft_clip.py, clean_blend.py) make the vectors,
and netlist_solver.py, which is fed the netlist that the command line prints, has to confirm them.
"""

import argparse
import base64
import json
import math
import pathlib
import platform
import sys

import numpy as np
import scipy

import band_limit
import clean_blend
import clean_blend_response
import continuous
import diode_clipper
import netlist_solver
import presets
import response
import signals
import soft_clip
import soft_clip_response

DIRECTORY = pathlib.Path(__file__).parent / "vectors"
# Dense samples a 48 kHz period: 3.072 MHz. Halving it changes the hardest case (a clipped op-amp
# without diodes, 1 V) by -140 dB or less through aliasing of its corners.
DENSE_FACTOR = 64
# float32 rounds at about -150 dB; another processor or SciPy may step otherwise within 1e-10.
WAVE_TOLERANCE_DB = -135.0
VOLT_TOLERANCE_V = 1e-9
GAIN_TOLERANCE_DB = 1e-6
# A seventh harmonic at -143 dB stands only five decades above the integration error.
HARMONIC_TOLERANCE_DB = 0.01
# The two derivations of the response differ more (5e-4 dB) where an op-amp rests at the corner of
# max(0, sourced current), which has no derivative.
CROSS_CHECK_DB = 1e-3
# Cases solved again by Radau, a Runge-Kutta method, to confirm the multistep LSODA.
CONFIRMED = {
    ("soft-plain", "sine-1000Hz-1V"),
    ("soft-asymmetric", "plucked-1V"),
    ("soft-lifted", "sine-1000Hz-1V"),
    ("clean-plain", "sine-1000Hz-1V"),
    ("clean-single", "plucked-1V"),
    ("clean-silicon", "sine-440Hz-0.2V"),
}
CONFIRMED_DB = -150.0
# Cases solved again from the netlist: of every preset, and the hardest of two.
SECOND_ROUTE = ("plucked-0.2V",)
SECOND_ROUTE_HARD = {("soft-plain", "sine-1000Hz-1V"), ("clean-plain", "sine-1000Hz-1V")}
SECOND_ROUTE_DB = -130.0
SECOND_ROUTE_V = 1e-9
SECOND_ROUTE_GAIN_DB = 1e-6
CIRCUITS = {
    **{
        name: (soft_clip.SoftClip, soft_clip_response.gain, presets.SOFT_CLIP_NETS, preset)
        for name, preset in presets.SOFT_CLIP.items()
    },
    **{
        name: (clean_blend.CleanBlend, clean_blend_response.gain, presets.CLEAN_BLEND_NETS, preset)
        for name, preset in presets.CLEAN_BLEND.items()
    },
}


def encode(values, kind):
    return base64.b64encode(np.asarray(values, dtype=kind).tobytes()).decode()


def decode(text, kind):
    return np.frombuffer(base64.b64decode(text), dtype=kind).astype(float)


def error_db(actual, expected):
    """RMS difference over the larger of the expected RMS and 1 mV, dB."""
    level = max(1e-3, float(np.sqrt(np.mean(expected**2))))
    difference = float(np.sqrt(np.mean((actual - expected) ** 2)))
    return 20 * math.log10(max(difference, 1e-30) / level)


def made_by(method):
    return {
        "script": "tests/reference/generate.py",
        "python": platform.python_version(),
        "numpy": np.__version__,
        "scipy": scipy.__version__,
        "method": method,
    }


def dense_times():
    """Instants of the dense outputs, s."""
    count = round(signals.DURATION_S * band_limit.OUTPUT_RATE_HZ) * DENSE_FACTOR + 1
    return np.arange(count) / (band_limit.OUTPUT_RATE_HZ * DENSE_FACTOR)


def waveform(circuit, rest, signal, method="LSODA"):
    """Band-limited output at the 48 kHz instants k = 48 .. 1200, V."""
    states = circuit.transient(signal, dense_times(), method, rest)
    return band_limit.band_limit(circuit.outputs(states), DENSE_FACTOR)


def settles(circuit, rest):
    """Largest drift of any state in 50 ms without input, V: the operating point is one."""
    states = circuit.transient(lambda t: 0.0, np.array([0.0, 0.05]), "LSODA", rest)
    return float(np.max(np.abs(states[-1] - rest)))


def must(kind, value, limit, where):
    """The value, if it lies within its limit."""
    if not value <= limit:
        raise ArithmeticError(f"{where}: {kind} {value} is above {limit}")
    return value


class SecondRoute:
    """What netlist_solver.py makes of the same preset, and by how much it differs at most."""

    def __init__(self, name):
        self.name, self.volts, self.gain_db, self.waves_db = name, 0.0, 0.0, {}

    def compare(self, knobs, voltages, nets, gain):
        """Rest state and response with the knobs at these positions; returns circuit and rest."""
        where = f"{self.name} {knobs or ''} from its netlist"
        circuit = netlist_solver.Circuit(netlist_solver.netlist_of(self.name, knobs))
        rest = circuit.rest()
        own = circuit.volts(rest)
        for node, volts in voltages.items():
            net = nets.get(node, node)
            if net in own:
                self.volts = max(self.volts, must("rest", abs(own[net] - volts), SECOND_ROUTE_V, f"{where}, {net}"))
        ratio = circuit.response(rest, response.FREQUENCIES_HZ) / gain
        apart = float(np.max(np.abs(20 * np.log10(np.abs(ratio)) + 1j * np.angle(ratio, deg=True))))
        self.gain_db = max(self.gain_db, must("response", apart, SECOND_ROUTE_GAIN_DB, where))
        return circuit, rest

    def compare_wave(self, circuit, rest, title, signal, samples):
        own = band_limit.band_limit(circuit.transient(signal, dense_times(), rest), DENSE_FACTOR)
        self.waves_db[title] = round(must("wave", error_db(own, samples), SECOND_ROUTE_DB, f"{self.name} {title}"))

    def record(self):
        return {
            "method": "netlist_solver.py (Radau IIA with mass matrix) on the printed netlist",
            "rtol": netlist_solver.RTOL,
            "restV": float(f"{self.volts:.1e}"),
            "responseDbOrDegrees": float(f"{self.gain_db:.1e}"),
            "wavesDb": self.waves_db,
        }


def preset_vectors(name):
    make, small_signal, nets, preset = CIRCUITS[name]
    circuit = make(preset)
    rest = circuit.operating_point()
    drift = settles(circuit, rest)
    if drift > VOLT_TOLERANCE_V:
        raise ArithmeticError(f"{name}: operating point drifts by {drift} V")
    voltages = circuit.nodes(rest.tolist(), 0.0)
    gain = response.response(small_signal, preset, voltages)
    again = response.state_space(circuit, rest)
    apart = float(np.max(np.abs(20 * np.log10(np.abs(gain / again)))))
    if apart > CROSS_CHECK_DB:
        raise ArithmeticError(f"{name}: the two responses differ by {apart} dB")
    second = SecondRoute(name)
    from_netlist = second.compare((), voltages, nets, gain)
    for knob, position, moved in presets.knob_cases(preset):
        turned = make(moved)
        at_rest = turned.nodes(turned.operating_point().tolist(), 0.0)
        second.compare(((knob, position),), at_rest, nets, response.response(small_signal, moved, at_rest))
    waves, confirmed = [], []
    for title, kind, frequency_hz, peak_v in signals.all_signals():
        signal = signals.make(kind, frequency_hz, peak_v)
        samples = waveform(circuit, rest, signal)
        if (name, title) in CONFIRMED:
            difference = error_db(waveform(circuit, rest, signal, "Radau"), samples)
            if difference > CONFIRMED_DB:
                raise ArithmeticError(f"{name} {title}: Radau differs by {difference} dB")
            confirmed.append(f"{title} by Radau: {difference:.0f} dB")
        if title in SECOND_ROUTE or (name, title) in SECOND_ROUTE_HARD:
            second.compare_wave(*from_netlist, title, signal, samples)
        wave = {"name": title, "signal": kind}
        if frequency_hz is not None:
            wave["frequencyHz"] = frequency_hz
        waves.append({**wave, "peakV": peak_v, "samplesBase64": encode(samples, "<f4")})
        print(f"{name} {title}: peak {np.max(np.abs(samples)):.6f} V", file=sys.stderr)
    return {
        "preset": name,
        "madeBy": {
            **made_by("scipy.integrate.odeint (LSODA)"),
            "rtol": continuous.RTOL,
            "atolV": continuous.ATOL_V,
            "newtonToleranceV": continuous.NEWTON_TOLERANCE_V,
            "denseRateHz": band_limit.OUTPUT_RATE_HZ * DENSE_FACTOR,
            "restDriftV": float(f"{drift:.1e}"),
            "responseCrossCheckDb": float(f"{apart:.1e}"),
            "confirmed": "; ".join(confirmed) or "none in this file",
            "secondRoute": second.record(),
        },
        "numbers": presets.numbers(preset),
        "operatingPointV": {node: round(volts, 12) + 0.0 for node, volts in voltages.items()},
        "response": {
            "firstHz": 20,
            "lastHz": 20000,
            "spacing": "logarithmic",
            "count": len(gain),
            "encoding": "base64 of little-endian float64",
            "magnitudeDbBase64": encode(20 * np.log10(np.abs(gain)), "<f8"),
            "phaseDegBase64": encode(np.degrees(np.angle(gain)), "<f8"),
        },
        "waves": {
            "sampleRateHz": band_limit.OUTPUT_RATE_HZ,
            "firstIndex": round(band_limit.HALF_WIDTH_S * band_limit.OUTPUT_RATE_HZ),
            "durationSeconds": signals.DURATION_S,
            "encoding": "base64 of little-endian float32, volts at the output after the low-pass",
            "vectors": waves,
        },
    }


def shared_vectors():
    """Sample values of the signals, of the kernel and of a band-limited test signal."""
    times = [0.0, 1e-5, 2.5e-4, 1e-3, 4.5779164e-3, 0.0123456, 0.0259]
    values = []
    for title, kind, frequency_hz, peak_v in signals.all_signals():
        signal = signals.make(kind, frequency_hz, peak_v)
        wave = {"name": title, "signal": kind, "peakV": peak_v}
        if frequency_hz is not None:
            wave["frequencyHz"] = frequency_hz
        values.append({**wave, "voltsBase64": encode([signal(t) for t in times], "<f8")})
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


def tolerance_of(path):
    """Kind of comparison for a value, by its key."""
    key = path.rsplit("/", 1)[-1]
    if key == "samplesBase64" and "/vectors/" in path:
        return "wave"
    if key.endswith("Base64"):
        return "float64"
    return "plain"


def differences(made, kept, path=""):
    """Places where a remade record differs from the kept one beyond the tolerances."""
    if path == "/madeBy":
        return []
    if isinstance(made, dict) and isinstance(kept, dict):
        found = [f"{path}: keys differ"] if set(made) != set(kept) else []
        for key in sorted(set(made) & set(kept)):
            found += differences(made[key], kept[key], f"{path}/{key}")
        return found
    if isinstance(made, list) and isinstance(kept, list):
        if len(made) != len(kept):
            return [f"{path}: lengths differ"]
        found = []
        for k, (a, b) in enumerate(zip(made, kept)):
            found += differences(a, b, f"{path}/{k}")
        return found
    kind = tolerance_of(path)
    if kind == "wave":
        apart = error_db(decode(made, "<f4"), decode(kept, "<f4"))
        return [] if apart <= WAVE_TOLERANCE_DB else [f"{path}: {apart:.1f} dB"]
    if kind == "float64":
        apart = float(np.max(np.abs(decode(made, "<f8") - decode(kept, "<f8"))))
        return [] if apart <= GAIN_TOLERANCE_DB else [f"{path}: differ by {apart}"]
    if isinstance(made, float) and isinstance(kept, (int, float)):
        near = abs(made - kept) <= max(VOLT_TOLERANCE_V, 1e-7 * abs(kept))
        if "/harmonicsDbc/" in path:
            near = abs(made - kept) <= HARMONIC_TOLERANCE_DB
        # Part values and device data lie far below a nanovolt's number: compare those by ratio.
        if path.startswith("/numbers"):
            near = abs(made - kept) <= 1e-12 * abs(kept)
        return [] if near else [f"{path}: {made} against {kept}"]
    return [] if made == kept else [f"{path}: {made} against {kept}"]


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--compare", action="store_true", help="compare with the kept files, write nothing")
    parser.add_argument("--only", nargs="+", metavar="NAME", help="file names without .json")
    options = parser.parse_args()
    makers = {name: (lambda name=name: preset_vectors(name)) for name in CIRCUITS}
    makers["shared"] = shared_vectors
    makers["diode-clipper"] = clipper_vectors
    DIRECTORY.mkdir(exist_ok=True)
    failures = []
    for name in options.only or makers:
        made = json.loads(json.dumps(makers[name]()))
        file = DIRECTORY / f"{name}.json"
        if options.compare:
            found = [f"{name}{place}" for place in differences(made, json.loads(file.read_text()))]
            failures += found
            print(f"{name}: {'differs' if found else 'agrees'}")
        else:
            file.write_text(json.dumps(made, indent=2) + "\n")
            print(f"{name}: written, {file.stat().st_size} bytes")
    for failure in failures:
        print(failure, file=sys.stderr)
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
