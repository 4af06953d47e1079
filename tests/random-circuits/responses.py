"""Rest state and response of netlists, for random-circuits: reads {name: netlist} from the first file, writes results to the second."""

import json
import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).parents[1] / "reference"))
import netlist_solver  # noqa: E402


def solved(netlist, frequencies_hz):
    """Volts of every net and complex gains; a reason instead if there is no operating point."""
    try:
        circuit = netlist_solver.Circuit(netlist)
        rest = circuit.rest()
        gains = circuit.response(rest, frequencies_hz)
    except ArithmeticError as error:
        return {"why": str(error)}
    return {"restV": circuit.volts(rest), "gains": [[float(gain.real), float(gain.imag)] for gain in gains]}


if __name__ == "__main__":
    asked = json.loads(pathlib.Path(sys.argv[1]).read_text())
    results = {name: solved(netlist, asked["hz"]) for name, netlist in asked["netlists"].items()}
    pathlib.Path(sys.argv[2]).write_text(json.dumps(results))
