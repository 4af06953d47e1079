"""Device data, potentiometer tapers and constants that the reference solves with, copied by hand.

Nothing here is read from the TypeScript sources, so that a wrong number there shows as a difference.
Device data: makers' model cards (diodes, 2N5088) and data sheets (op-amps), as cited in engine/parts.
Units are in the names; temperature 300.15 K throughout.
"""

import math

BOLTZMANN_J_PER_K = 1.380649e-23
ELEMENTARY_CHARGE_C = 1.602176634e-19
TEMPERATURE_K = 300.15
THERMAL_VOLTAGE_V = BOLTZMANN_J_PER_K * TEMPERATURE_K / ELEMENTARY_CHARGE_C
JUNCTION_MIN_S = 1e-12
OPAMP_KNEE_V = 0.1
OPAMP_CLAMP_V = 0.1
OPAMP_REVERSAL = 100.0

DIODES = {
    # NXP model card.
    "1N4148": {
        "saturationCurrentA": 4.352e-9,
        "emissionCoefficient": 1.906,
        "seriesOhms": 0.6458,
        "zeroBiasCapacitanceF": 0.7048e-12,
    },
    # Fits of fit_diodes.py to measured pieces.
    "1N34A": {
        "saturationCurrentA": 25.7e-9,
        "emissionCoefficient": 1.0026,
        "seriesOhms": 15.8,
        "zeroBiasCapacitanceF": 0.8e-12,
        "leakageS": 0.65e-6,
    },
    "LED-red": {
        "saturationCurrentA": 4.734e-20,
        "emissionCoefficient": 1.8459,
        "seriesOhms": 3.47,
        "zeroBiasCapacitanceF": 35e-12,
    },
}

TRANSISTORS = {
    "2N5088": {
        "saturationCurrentA": 5.911e-15,
        "forwardBeta": 580.0,
        "reverseBeta": 1.3,
        "earlyV": 62.37,
    },
}

OPAMPS = {
    "RC4558": {
        "gainBandwidthHz": 4e6,
        "slewVPerS": 1.7e6,
        "openLoopGain": 1e5,
        "headroomHighV": 1.0,
        "headroomLowV": 1.0,
        "inputBiasA": -150e-9,
        "quiescentA": 1.25e-3,
    },
    "TL072": {
        "gainBandwidthHz": 4e6,
        "slewVPerS": 16e6,
        "openLoopGain": 2e5,
        "headroomHighV": 1.5,
        "headroomLowV": 1.5,
        "inputBiasA": 20e-12,
        "quiescentA": 1.4e-3,
        # The output reverses if an input comes near the negative supply: an estimate.
        "commonMode": {"headroomHighV": 0.0, "headroomLowV": 1.4, "reverses": True},
    },
}

# Output resistance of averaged charge-pump converters, ohms: Microchip DS21348A.
CONVERTERS = {"TC1044S": {"outputOhms": 70.0}}

DATA = {**DIODES, **TRANSISTORS, **OPAMPS, **CONVERTERS}


def parallel_siemens(diode):
    """What conducts beside a diode's junction, S: the least conductance, and its leak if it has one."""
    return JUNCTION_MIN_S + diode.get("leakageS", 0.0)


def taper(name, rotation):
    """Fraction of the track between the counter-clockwise end and the wiper, 0..1.

    Audio: straight from (0, 0) over (1/2, 0.15) to (1, 1); reverse over (1/2, 0.85). S-shaped: straight through (0, 0), (1/4, 0.1),
    (1/2, 1/2), (3/4, 0.9) and (1, 1).
    """
    corners = {
        "linear": ((0.0, 0.0), (1.0, 1.0)),
        "audio-15": ((0.0, 0.0), (0.5, 0.15), (1.0, 1.0)),
        "reverse-audio-15": ((0.0, 0.0), (0.5, 0.85), (1.0, 1.0)),
        "s-shaped": ((0.0, 0.0), (0.25, 0.1), (0.5, 0.5), (0.75, 0.9), (1.0, 1.0)),
    }[name]
    for (x0, y0), (x1, y1) in zip(corners, corners[1:]):
        if rotation <= x1:
            return y0 + (y1 - y0) * (rotation - x0) / (x1 - x0)
    raise ValueError(f"rotation {rotation} is past the end")
