"""The second route of the reference: the result of netlist_solver.py for the same build must agree."""

import numpy as np

import band_limit
import netlist_solver
import response
import signals
from encoding import error_db
from waves import DENSE_FACTOR, dense_times

WAVE_DB = -130.0
REST_V = 1e-9
GAIN_DB = 1e-6


def must(kind, value, limit, where):
    """Returns the value; raises if it is above the limit."""
    if not value <= limit:
        raise ArithmeticError(f"{where}: {kind} {value} is above {limit}")
    return value


def build_of(name):
    """The preset, or the file of a build of revision 1."""
    of_first = name.removesuffix("-revision-1")
    return name if of_first == name else f"tests/fixtures/revision-1/{of_first}.json"


def with_data(netlist, devices):
    """The netlist with the device data of the vectors, which a corrected type of the catalogue does not change."""

    def own(part):
        data = devices.get(part["ref"])
        if data is None:
            return part
        # An op-amp of the vectors knows nothing of its load.
        kept = {key: value for key, value in part.items() if key not in netlist_solver.UNDER_LOAD or key in data}
        return {**kept, **{key: value for key, value in data.items() if key in kept}}

    return {**netlist, "parts": [own(part) for part in netlist["parts"]]}


class SecondRoute:
    """The result of netlist_solver.py for the same preset, and its largest difference."""

    def __init__(self, name, devices):
        self.name, self.devices = name, devices
        self.volts, self.gain_db, self.waves_db = 0.0, 0.0, {}

    def compare(self, knobs, voltages, nets, gain):
        """Operating point and response with the knobs at these positions; returns circuit and rest."""
        where = f"{self.name} {knobs or ''} from its netlist"
        netlist = netlist_solver.netlist_of(build_of(self.name), knobs)
        circuit = netlist_solver.Circuit(with_data(netlist, self.devices))
        rest = circuit.rest()
        own = circuit.volts(rest)
        for node, volts in voltages.items():
            net = nets.get(node, node)
            if net in own:
                self.volts = max(self.volts, must("rest", abs(own[net] - volts), REST_V, f"{where}, {net}"))
        ratio = circuit.response(rest, response.FREQUENCIES_HZ) / gain
        apart = float(np.max(np.abs(20 * np.log10(np.abs(ratio)) + 1j * np.angle(ratio, deg=True))))
        self.gain_db = max(self.gain_db, must("response", apart, GAIN_DB, where))
        return circuit, rest

    def compare_wave(self, circuit, rest, test, samples, title=None):
        dense = circuit.transient(signals.make(test), dense_times(test.duration_s), rest)
        own = band_limit.band_limit(dense, DENSE_FACTOR)
        title = title or test.name
        self.waves_db[title] = round(must("wave", error_db(own, samples), WAVE_DB, f"{self.name} {title}"))

    def record(self):
        return {
            "method": "netlist_solver.py (Radau IIA with mass matrix) on the printed netlist",
            "rtol": netlist_solver.RTOL,
            "restV": float(f"{self.volts:.1e}"),
            "responseDbOrDegrees": float(f"{self.gain_db:.1e}"),
            "wavesDb": self.waves_db,
        }
