"""Part values and presets of the circuits, copied by hand.

Nothing here is read from the TypeScript sources, so that a wrong number there shows as a difference.
A preset holds part values (ohms, farads, volts) by designator, potentiometers (ohms, taper) with their
rotations, switch positions and device types.
"""

import devices

POT_END_OHMS = 2.0

SOFT_CLIP_PARTS = {
    "V1": 9.0,
    "R1": 1e6,
    "R2": 510e3,
    "R3": 10e3,
    "R4": 4.7e3,
    "R5": 10e3,
    "R6": 51e3,
    "R7": 1e3,
    "R8": 10e3,
    "R9": 220.0,
    "R10": 1e3,
    "R11": 1e3,
    "R12": 510e3,
    "R13": 10e3,
    "R14": 100e3,
    "R15": 10e3,
    "R16": 10e3,
    "R17": 10.0,
    "R18": 100.0,
    "C1": 22e-9,
    "C2": 1e-6,
    "C3": 47e-9,
    "C4": 51e-12,
    "C5": 220e-9,
    "C6": 220e-9,
    "C7": 1e-6,
    "C8": 100e-9,
    "C9": 10e-6,
    "C10": 47e-6,
    "C11": 100e-6,
    "C13": 100e-9,
}
SOFT_CLIP_PARTS_1 = {ref: value for ref, value in SOFT_CLIP_PARTS.items() if ref != "C13"}

SOFT_CLIP_POTS = {"VR1": (500e3, "audio-15"), "VR2": (20e3, "s-shaped"), "VR3": (100e3, "audio-15")}


def _soft_clip(diode, clipping, knobs, opamp="RC4558", pots=None, revision=2):
    gain, tone, output = knobs
    return {
        "revision": revision,
        "parts": SOFT_CLIP_PARTS if revision == 2 else SOFT_CLIP_PARTS_1,
        "pots": {**SOFT_CLIP_POTS, **(pots or {})},
        "rotation": {"VR1": gain, "VR2": tone, "VR3": output},
        "switches": {"clipping": clipping},
        "types": {
            **{ref: diode for ref in ("D1", "D2", "D3")},
            **{ref: "2N5088" for ref in ("Q1", "Q2")},
            **{ref: opamp for ref in ("U1A", "U1B")},
        },
    }


SOFT_CLIP = {
    "soft-plain": _soft_clip("1N4148", "symmetric", (0.5, 0.5, 0.6)),
    "soft-led": _soft_clip("LED-red", "symmetric", (0.6, 0.5, 0.5)),
    "soft-germanium": _soft_clip("1N34A", "symmetric", (0.5, 0.5, 0.7)),
    "soft-asymmetric": _soft_clip("1N4148", "asymmetric", (0.5, 0.5, 0.6)),
    "soft-linear-tone": _soft_clip("1N4148", "symmetric", (0.5, 0.6, 0.6), pots={"VR2": (25e3, "linear")}),
    "soft-lifted": _soft_clip("1N4148", "lifted", (0.7, 0.4, 0.4), opamp="TL072"),
    "soft-plain-revision-1": _soft_clip("1N4148", "symmetric", (0.5, 0.5, 0.6), revision=1),
}

CLEAN_BLEND_PARTS = {
    "V1": 9.0,
    "R1": 2.2e6,
    "R2": 1e6,
    "R3": 22e3,
    "R4": 2.2e3,
    "R5": 15e3,
    "R6": 1e3,
    "R7": 47e3,
    "R8": 22e3,
    "R9": 27e3,
    "R10": 22e3,
    "R11": 47e3,
    "R12": 47e3,
    "R13": 10e3,
    "R14": 10e3,
    "R15": 2.2e3,
    "R16": 560.0,
    "R17": 100e3,
    "R18": 10.0,
    "R19": 10e3,
    "R20": 10e3,
    "C1": 100e-9,
    "C2": 47e-9,
    "C3": 470e-9,
    "C4": 220e-9,
    "C5": 2.7e-9,
    "C6": 1e-6,
    "C7": 100e-9,
    "C8": 220e-12,
    "C9": 33e-9,
    "C10": 1e-6,
    "C11": 100e-6,
    "C12": 47e-6,
    "C13": 22e-6,
    "C14": 22e-6,
    "C17": 10e-6,
    "C18": 10e-6,
    "C19": 100e-9,
}
CLEAN_BLEND_PARTS_1 = {
    **{ref: value for ref, value in CLEAN_BLEND_PARTS.items() if ref not in ("C17", "C18", "C19")},
    "C5": 100e-12,
}

CLEAN_BLEND_POTS = {
    "VR1A": (100e3, "linear"),
    "VR1B": (100e3, "linear"),
    "VR2": (10e3, "linear"),
    "VR3": (10e3, "audio-15"),
    "VR4": (50e3, "linear"),
}


def _clean_blend(
    knobs, blend=None, rails="doubled and negative", clipping="1N34A", bass="fitted", parts=None, revision=2
):
    """VR1B turns with VR1A (dual gang) unless blend is given. bass says how VR4 is soldered: fitted, open or bridged."""
    gain, treble, output = knobs
    rotation = {"VR1A": gain, "VR1B": gain if blend is None else blend, "VR2": treble, "VR3": output}
    if bass == "fitted":
        rotation["VR4"] = 0.5
    return {
        "revision": revision,
        "parts": {**(CLEAN_BLEND_PARTS if revision == 2 else CLEAN_BLEND_PARTS_1), **(parts or {})},
        "pots": {ref: CLEAN_BLEND_POTS[ref] for ref in rotation},
        "rotation": rotation,
        "switches": {"rails": rails, "gain and blend": "dual" if blend is None else "separate"},
        "bass": bass,
        "types": {
            **{ref: clipping for ref in ("D1", "D2")},
            **{ref: "1N4148" for ref in ("D3", "D4")},
            **{ref: "TL072" for ref in ("U1A", "U1B", "U2A", "U2B")},
            **{ref: "TC1044S" for ref in ("U3 doubler", "U3 inverter")},
        },
        "own": {} if revision == 1 else {"U3 doubler": _pumped("C17"), "U3 inverter": _pumped("C18")},
    }


def _pumped(capacitor):
    """Output resistance with a pump capacitor of its own and the boost link: 70 ohms are those of 10 uF at 5 kHz."""
    switches = devices.CONVERTERS["TC1044S"]["outputOhms"] - 1 / (5e3 * 10e-6)
    return {"outputOhms": switches + 1 / (22.5e3 * CLEAN_BLEND_PARTS[capacitor])}


CLEAN_BLEND = {
    "clean-plain": _clean_blend((0.5, 0.5, 0.6)),
    "clean-single": _clean_blend((0.7, 0.5, 0.6), rails="single"),
    "clean-silicon": _clean_blend((0.6, 0.7, 0.6), clipping="1N4148"),
    "clean-separate": _clean_blend((0.8, 0.5, 0.6), blend=0.2, bass="bridged"),
    "clean-midlift": _clean_blend(
        (0.3, 0.6, 0.8),
        bass="open",
        parts={"C2": 22e-9, "R3": 10e3, "C4": 100e-9, "R6": 2.2e3},
    ),
    "clean-plain-revision-1": _clean_blend((0.5, 0.5, 0.6), revision=1),
}

HARD_CLIP_PARTS = {
    "V1": 9.0,
    "R1": 2.2e6,
    "R2": 1e6,
    "R3": 1e6,
    "R4": 2.7e3,
    "R5": 4.7e3,
    "R6": 2.2e3,
    "R7": 100e3,
    "R8": 1e3,
    "R9": 1e6,
    "R12": 10.0,
    "R13": 10e3,
    "R14": 10e3,
    "C1": 22e-9,
    "C2": 22e-9,
    "C3": 390e-9,
    "C4": 100e-12,
    "C5": 2.2e-6,
    "C6": 10e-9,
    "C7": 220e-9,
    "C8": 100e-6,
    "C9": 100e-9,
    "C10": 47e-6,
}
HARD_CLIP_POTS = {"VR1": (250e3, "audio-15"), "VR2": (25e3, "reverse-audio-15"), "VR3": (100e3, "audio-15")}


def _hard_clip(diode, knobs):
    gain, tone, output = knobs
    return {
        "revision": 1,
        "parts": HARD_CLIP_PARTS,
        "pots": HARD_CLIP_POTS,
        "rotation": {"VR1": gain, "VR2": tone, "VR3": output},
        "switches": {},
        "types": {**{ref: diode for ref in ("D1", "D2")}, **{ref: "RC4558" for ref in ("U1A", "U1B")}},
    }


HARD_CLIP = {
    "hard-plain": _hard_clip("1N4148", (0.5, 0.7, 0.6)),
    "hard-led": _hard_clip("LED-red", (0.6, 0.7, 0.4)),
}


def halves(preset, ref):
    """The two resistances of a potentiometer: ccw to wiper, wiper to cw, ohms."""
    ohms, name = preset["pots"][ref]
    share = devices.taper(name, preset["rotation"][ref])
    return POT_END_OHMS + share * ohms, POT_END_OHMS + (1 - share) * ohms


def data(preset, ref):
    """Data of the device at a designator: of its type, and its own."""
    return {**devices.DATA[preset["types"][ref]], **preset.get("own", {}).get(ref, {})}


def numbers(preset):
    """Everything that defines the circuit of a preset, flat, for the record in a vector file."""
    tracks = {}
    for ref in preset["pots"]:
        ccw_wiper, wiper_cw = halves(preset, ref)
        tracks[ref] = {"ccwWiperOhms": ccw_wiper, "wiperCwOhms": wiper_cw}
    return {
        "temperatureK": devices.TEMPERATURE_K,
        "junctionMinS": devices.JUNCTION_MIN_S,
        "switches": preset["switches"],
        "parts": preset["parts"],
        "tracks": tracks,
        "devices": {ref: {"type": name, **data(preset, ref)} for ref, name in preset["types"].items()},
    }


# Net of the engine for each node of the schematic with another name. The comparison of the two routes and the
# solver uses these names; nothing is solved with them.
SOFT_CLIP_NETS = {
    "b1": "base",
    "e1": "buffered",
    "p1": "gain input",
    "m1": "gain feedback",
    "o1": "clipped",
    "n1": "R4.2",
    "n2": "R6.2",
    "t": "tone input",
    "m2": "tone feedback",
    "o2": "toned",
    "w": "VR2.wiper",
    "n3": "R9.2",
    "n4": "C7.2",
    "v": "R11.2",
    "vol": "level",
    "b2": "output base",
    "e2": "output emitter",
    "n5": "C9.2",
    "d23": "D2.cathode",
}
CLEAN_BLEND_NETS = {
    "pumped": "U3.doubled",
    "d34": "D3.cathode",
    "a": "buffer input",
    "g": "gain input",
    "h": "C3.2",
    "m": "gain feedback",
    "n1": "R4.2",
    "n2": "R5.2",
    "o1": "amplified",
    "n3": "C6.2",
    "c": "clipped",
    "b1": "VR1B.wiper",
    "l": "clean lows",
    "s": "sum feedback",
    "o2": "summed",
    "t": "treble feedback",
    "w": "VR2.wiper",
    "x": "R15.2",
    "o3": "shelved",
    "y": "C10.2",
    "v": "R16.2",
}
HARD_CLIP_NETS = {
    "a": "buffer input",
    "o1": "buffered",
    "g": "gain input",
    "m": "gain feedback",
    "n1": "R4.2",
    "n2": "R5.2",
    "o2": "amplified",
    "x": "C5.2",
    "c": "clipped",
    "w": "R8.2",
    "t": "toned",
    "y": "C7.2",
}

# Potentiometers of each knob of the panel.
KNOBS = {
    **{"gain": ("VR1", "VR1A"), "blend": ("VR1B",), "bass": ("VR4",)},
    **{"tone": ("VR2",), "treble": ("VR2",), "output": ("VR3",)},
}
ENDS = (0.0, 1.0)


def turned(preset, knob, position):
    """The preset with one knob at another position."""
    refs = KNOBS[knob]
    if knob == "gain" and preset["switches"].get("gain and blend") == "dual":
        refs = (*refs, "VR1B")
    rotation = {ref: position if ref in refs else own for ref, own in preset["rotation"].items()}
    return {**preset, "rotation": rotation}


def position_of(preset, knob):
    """The position of a knob of the preset."""
    return next(preset["rotation"][ref] for ref in KNOBS[knob] if ref in preset["rotation"])


def knob_names(preset):
    """The knobs that are connected in the circuit."""
    has_tone = "rails" not in preset["switches"]
    names = ["gain", "tone" if has_tone else "treble", "output"]
    if preset["switches"].get("gain and blend") == "separate":
        names.append("blend")
    if "VR4" in preset["rotation"]:
        names.append("bass")
    return names


def knob_cases(preset):
    """(knob, position, preset) for both ends of every connected knob."""
    for knob in knob_names(preset):
        for position in ENDS:
            yield knob, position, turned(preset, knob, position)
