"""Operating point and response of one preset, as stored in a vector file. A second derivation confirms each."""

import numpy as np

import response
from comparison import VOLT_TOLERANCE_V
from encoding import encode

# The two derivations of the response differ more (5e-4 dB) if an op-amp rests at the corner of
# max(0, sourced current), which has no derivative.
CROSS_CHECK_DB = 1e-3
# With the output at 0 the signal through the supply is as large as the direct one; the effect of that corner is then
# large too.
CROSS_CHECK_GAIN = 1e-5


def settles(circuit, rest):
    """Largest drift of any state in 50 ms without input, V: a check that the state is an operating point."""
    states = circuit.transient(lambda t: 0.0, np.array([0.0, 0.05]), "LSODA", rest)
    return float(np.max(np.abs(states[-1] - rest)))


class SmallSignal:
    """Operating point, node voltages, response, and the differences from the second derivation."""

    def __init__(self, circuit, gain_at, preset, where):
        self.rest = circuit.operating_point()
        self.drift_v = settles(circuit, self.rest)
        if self.drift_v > VOLT_TOLERANCE_V:
            raise ArithmeticError(f"{where}: operating point drifts by {self.drift_v} V")
        self.voltages = circuit.nodes(self.rest.tolist(), 0.0)
        self.gain = response.response(gain_at, preset, self.voltages)
        again = response.state_space(circuit, self.rest)
        self.apart_db = float(np.max(np.abs(20 * np.log10(np.abs(self.gain / again)))))
        if self.apart_db > CROSS_CHECK_DB and np.max(np.abs(self.gain - again)) > CROSS_CHECK_GAIN:
            raise ArithmeticError(f"{where}: the two responses differ by {self.apart_db} dB")

    def record(self):
        return {
            "operatingPointV": {node: round(volts, 12) + 0.0 for node, volts in self.voltages.items()},
            "response": {
                "firstHz": 20,
                "lastHz": 20000,
                "spacing": "logarithmic",
                "count": len(self.gain),
                "encoding": "base64 of little-endian float64",
                "magnitudeDbBase64": encode(20 * np.log10(np.abs(self.gain)), "<f8"),
                "phaseDegBase64": encode(np.degrees(np.angle(self.gain)), "<f8"),
            },
        }
