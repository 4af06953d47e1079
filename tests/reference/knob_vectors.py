"""Vectors of a preset with its knobs at other positions: each at 0, 1/2 and 1, then all of them.

Each position has an operating point, a response, and two inputs that clip. With the output knob at 0 the pedal is 94 dB
quieter: with all knobs at 0 the waves are microvolts, too small to show an error. So there is also a position with all
knobs but the output at 0.
"""

import presets
import signals
import waves
from encoding import made_by
from second_route import SecondRoute
from small_signal import SmallSignal

POSITIONS = (0.0, 0.5, 1.0)
# Two presets of each circuit: one with diodes, one with the op-amp at its limits. Gain and blend are one knob in
# clean-plain and two knobs in clean-separate.
PRESETS = ("soft-plain", "soft-lifted", "clean-plain", "clean-separate")
# Positions whose waves are solved again, (preset, title of the position): by Radau and from the netlist.
CONFIRMED = {("soft-plain", "gain=1"), ("clean-separate", "gain=1")}
SECOND_ROUTE_WAVE = "plucked-1V"


def positions(preset):
    """Tuples of (knob, position): one knob changed at a time, then all at 0, all but the output at 0, all at 1."""
    names = presets.knob_names(preset)
    for knob in names:
        own = presets.position_of(preset, knob)
        for position in POSITIONS:
            if position != own:
                yield ((knob, position),)
    yield tuple((knob, 0.0) for knob in names)
    yield tuple((knob, 0.0) for knob in names if knob != "output")
    yield tuple((knob, 1.0) for knob in names)


def title_of(knobs):
    return " ".join(f"{knob}={position:g}" for knob, position in knobs)


def knob_vectors(name, circuit_of):
    """The record of all positions; circuit_of is (class, gain, nets, preset)."""
    make, gain_at, nets, preset = circuit_of
    second = SecondRoute(name, presets.numbers(preset)["devices"])
    entries, confirmed, drift_v, apart_db = [], [], 0.0, 0.0
    for knobs in positions(preset):
        turned = preset
        for knob, position in knobs:
            turned = presets.turned(turned, knob, position)
        title, circuit = title_of(knobs), make(turned)
        small = SmallSignal(circuit, gain_at, turned, f"{name} {title}")
        drift_v, apart_db = max(drift_v, small.drift_v), max(apart_db, small.apart_db)
        from_netlist = second.compare(knobs, small.voltages, nets, small.gain)
        vectors = []
        for test in signals.knob_signals():
            samples = waves.waveform(circuit, small.rest, test)
            if (name, title) in CONFIRMED:
                difference = waves.confirmation(circuit, small.rest, test, samples, f"{name} {title}")
                confirmed.append(f"{title} {test.name} by Radau: {difference:.0f} dB")
                if test.name == SECOND_ROUTE_WAVE:
                    second.compare_wave(*from_netlist, test, samples, f"{title} {test.name}")
            vectors.append(waves.record(test, samples, f"{name} {title}"))
        tracks = presets.numbers(turned)["tracks"]
        entries.append({"knobs": dict(knobs), "tracks": tracks, **small.record(), "vectors": vectors})
    return {
        "preset": name,
        "madeBy": {
            **made_by("scipy.integrate.odeint (LSODA)"),
            "restDriftV": float(f"{drift_v:.1e}"),
            "responseCrossCheckDb": float(f"{apart_db:.1e}"),
            "confirmed": "; ".join(confirmed) or "none in this file",
            "secondRoute": second.record(),
        },
        "waves": waves.header(),
        "positions": entries,
    }
