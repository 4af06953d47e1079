"""The common part of the continuous-time circuits: equations of devices, operating point and integration in time.

A circuit gives its states and their time derivatives as `rhs`; see soft_clip.py and clean_blend.py.
"""

import math
import warnings

import numpy as np
from scipy.integrate import ODEintWarning, odeint, solve_ivp
from scipy.optimize import root

import devices

NEWTON_TOLERANCE_V = 1e-13
RTOL = 1e-10
ATOL_V = 1e-12
# Implicit Runge-Kutta steps are solved to a 1e-5th of this, which must be larger than the rounding of 10 V.
RADAU_ATOL_V = 1e-10


def diode_law(data, name):
    """Current of one diode as a function of the voltage across junction and series resistance, A of V.

    The junction's voltage is found by Newton's method, which starts at the result of the last call. So call this once
    for each diode.
    """
    exp, tolerance = math.exp, NEWTON_TOLERANCE_V
    isd, rs = data["saturationCurrentA"], data["seriesOhms"]
    nvt, gmin = data["emissionCoefficient"] * devices.THERMAL_VOLTAGE_V, devices.parallel_siemens(data)
    last = 0.0

    def current(v):
        nonlocal last
        vj = last
        for _ in range(200):
            ex = isd * exp(vj / nvt)
            i = ex - isd + gmin * vj
            step = (vj + rs * i - v) / (1 + rs * (ex / nvt + gmin))
            # Upwards at most 2 nVt, and from zero if it starts below: above that the exponential makes the
            # step meaningless, and the way back from 10 V takes hundreds of steps.
            ceiling = (vj if vj > 0 else 0.0) + 2 * nvt
            if vj - step > ceiling:
                step = vj - ceiling
            vj -= step
            if -tolerance < step < tolerance:
                last = vj
                ex = isd * exp(vj / nvt)
                return ex - isd + gmin * vj
        raise ArithmeticError(f"junction of {name} at {v} V does not converge")

    return current


def opamp_law(data):
    """dx/dt of an op-amp, V/s, as a function of its output x, v+ - v-, the voltages of its supply pins and v+.

    v+ alone is used for a type with an input range; in v+ - v- it is then replaced by
    c(v+) = v+ - q(v+ - H) + a q(L - v+).
    """
    sqrt = math.sqrt
    omega = 2 * math.pi * data["gainBandwidthHz"]
    slew, leak = data["slewVPerS"], omega / data["openLoopGain"]
    head_high, head_low = data["headroomHighV"], data["headroomLowV"]
    knee, clamp = devices.OPAMP_KNEE_V, slew / devices.OPAMP_CLAMP_V

    def excess(e):
        """Ramp q of the output limit, with a quadratic knee, V."""
        if e <= 0:
            return 0.0
        return e * e / (2 * knee) if e <= knee else e - knee / 2

    common = data.get("commonMode")
    turn = devices.OPAMP_REVERSAL if common and common["reverses"] else 1.0

    def ranged(x, vd, positive, negative, plus):
        vd -= excess(plus - positive + common["headroomHighV"])
        vd += turn * excess(negative + common["headroomLowV"] - plus)
        return slope(x, vd, positive, negative)

    def slope(x, vd, positive, negative, _plus=0.0):
        high, low = positive - head_high, negative + head_low
        if low > high:
            high = low = (high + low) / 2
        drive = omega * vd / slew
        return (
            slew * drive / sqrt(1 + drive * drive)
            - leak * (x - (high + low) / 2)
            - clamp * (excess(x - high) - excess(low - x))
        )

    return ranged if common else slope


class ContinuousCircuit:
    """One preset of a circuit. A subclass sets these functions of the states y (list) and the input (V):

    rhs(y, vin)    time derivatives of the states, V/s
    nodes(y, vin)  voltage of every node of the schematic by name, V
    output(y)      voltage at `out`, V

    It also sets `guess`, states near rest, and `scale`, s: the search for the operating point multiplies each derivative
    with it, so that all are volts.
    """

    def operating_point(self):
        """States at rest with 0 V at the input: the root of the scaled right-hand side."""
        residual = lambda y: self.scale * np.array(self.rhs([float(v) for v in y], 0.0))
        solution = root(residual, self.guess, method="hybr", options={"xtol": 1e-14, "maxfev": 20000})
        y = solution.x
        for _ in range(4):
            y = y - np.linalg.solve(self._scaled_jacobian(residual, y), residual(y))
        if np.max(np.abs(residual(y))) > 1e-11:
            raise ArithmeticError(f"operating point: residual {residual(y)}")
        return y

    def jacobian(self, y, vin=0.0):
        """Central differences of the right-hand side with respect to the states, 1/s."""
        residual = lambda v: self.scale * np.array(self.rhs([float(x) for x in v], vin))
        return self._scaled_jacobian(residual, y) / self.scale[:, None]

    def _scaled_jacobian(self, residual, y):
        columns = []
        for k in range(len(y)):
            h = 1e-6
            up, down = y.copy(), y.copy()
            up[k] += h
            down[k] -= h
            columns.append((residual(up) - residual(down)) / (2 * h))
        return np.array(columns).T

    def transient(self, signal, times_s, method="LSODA", start=None):
        """States at the given times (first 0) from rest, shape [times, states]."""
        y0 = self.operating_point() if start is None else start
        rhs = self.rhs
        slope = lambda t, y: rhs(y.tolist(), signal(t))
        # SciPy's own differences become so small at rest that only rounding remains.
        jacobian = lambda t, y: self.jacobian(y, signal(t))
        if method == "LSODA":
            with warnings.catch_warnings():
                # A failed integration gives only a warning and leaves the rest of its result unset.
                warnings.simplefilter("error", ODEintWarning)
                return odeint(
                    slope, y0, times_s, tfirst=True, Dfun=jacobian, rtol=RTOL, atol=ATOL_V, mxstep=100000
                )
        solution = solve_ivp(
            slope,
            (0.0, times_s[-1]),
            y0,
            method=method,
            t_eval=times_s,
            jac=jacobian,
            rtol=RTOL,
            atol=RADAU_ATOL_V,
        )
        if not solution.success:
            raise ArithmeticError(solution.message)
        return solution.y.T

    def outputs(self, states):
        """Voltage at `out` for rows of states, V."""
        return np.array([self.output(row) for row in states.tolist()])
