"""Three-stage Radau IIA of order five for M y' = f(t, y) with a constant, singular mass matrix M.

  M Z_i / h = sum_j A_ij f(t + c_j h, y + Z_j)      collocation at c = (4 -+ sqrt 6)/10 and 1

Simplified Newton in the eigenbasis of A^-1 (one real and one complex system of the size of y), error by the embedded
formula of order three, samples by the collocation polynomial. SciPy's Radau takes no mass matrix.

Source: E. Hairer, G. Wanner, Solving Ordinary Differential Equations II, section IV.8 (RADAU5).
"""

import math

import numpy as np
from scipy.linalg import lu_factor, lu_solve

ROOT6 = math.sqrt(6)
NODES = np.array([(4 - ROOT6) / 10, (4 + ROOT6) / 10, 1.0])
# Collocation: A_ij integrates the Lagrange polynomial of node j from 0 to c_i.
POWERS = np.vander(NODES, 3, increasing=True)
A_INVERSE = np.linalg.inv((NODES[:, None] ** np.arange(1, 4) / np.arange(1, 4)) @ np.linalg.inv(POWERS))
EIGENVALUES, BASIS = np.linalg.eig(A_INVERSE)
REAL = int(np.argmin(np.abs(EIGENVALUES.imag)))
COMPLEX = int(np.argmax(EIGENVALUES.imag))
GAMMA = float(EIGENVALUES[REAL].real)
TO_BASIS = np.linalg.inv(BASIS)
ERROR = np.array([-13 - 7 * ROOT6, -13 + 7 * ROOT6, -1]) / 3
# Coefficients of theta, theta^2, theta^3 of the polynomial through 0 at theta = 0 and Z_i at c_i.
POLYNOMIAL = np.linalg.inv(NODES[:, None] ** np.arange(1, 4))
NEWTON_SHARE = 1e-3
MAX_ITERATIONS = 12
# A step this small, relative to the tolerance, is rounding, which does not shrink: at rest the first one is no larger.
ROUNDING_SHARE = 1e-4
SAFETY, MOST_GROWTH, LEAST_GROWTH = 0.9, 5.0, 0.2


class NewtonFailure(ArithmeticError):
    """Newton's iteration of a step did not converge; the step is tried again with half its length."""


def _stages(system, t, y, h, guess, scale):
    """Z of the three stages, shape [3, n], by simplified Newton; also the real factorisation of the step."""
    mass, jacobian = system.mass, system.jacobian(t, y)
    real = lu_factor(GAMMA / h * mass - jacobian)
    imaginary = lu_factor(EIGENVALUES[COMPLEX] / h * mass - jacobian)
    times, z, last, rate = t + NODES * h, guess, math.inf, 0.0
    for _ in range(MAX_ITERATIONS):
        residual = system.right(times, y + z) - (A_INVERSE @ z) @ mass.T / h
        turned = TO_BASIS @ residual
        step_real = lu_solve(real, turned[REAL].real)
        step_complex = lu_solve(imaginary, turned[COMPLEX])
        # The third component is the conjugate of the second: twice the real part.
        step = np.outer(BASIS[:, REAL].real, step_real) + 2 * np.real(np.outer(BASIS[:, COMPLEX], step_complex))
        size = float(np.max(np.abs(step) / scale))
        if not math.isfinite(size):
            break
        z = z + step
        rate = max(size / last, 0.01) if last < math.inf else 1.0
        if rate < 1 and size * rate / (1 - rate) < NEWTON_SHARE or size < ROUNDING_SHARE:
            return z, real
        if rate >= 2:
            break
        last = size
    raise NewtonFailure(f"at {t} s, step {h} s")


def integrate(system, start, times_s, pick, options):
    """Samples of `pick` (row vector over y) at rising `times_s`, the first at which y = start.

    system has mass, right(times [k], states [k, n]) -> [k, n] and jacobian(t, y); options has rtol, atol (array:
    infinite where a component is not to count), first_s and most_s, the first and the longest step.
    """
    rtol, atol = options["rtol"], options["atol"]
    t, end, y, h = times_s[0], times_s[-1], start.copy(), options["first_s"]
    result, done, before = np.empty(len(times_s)), 0, None
    while done < len(times_s):
        h = min(h, options["most_s"])
        scale = atol + rtol * np.abs(y)
        guess = np.zeros((3, len(y)))
        if before is not None:
            theta = 1 + NODES[:, None] * h / before[1]
            guess = (theta ** np.arange(1, 4) @ before[0]) - before[2]
        try:
            z, real = _stages(system, t, y, h, guess, scale)
        except NewtonFailure:
            if h < 1e-15:
                raise
            h, before = h / 2, None
            continue
        slope = system.right(np.array([t]), y[None])[0] + system.mass @ (ERROR @ z) / h
        error = lu_solve(real, slope)
        norm = float(np.sqrt(np.mean((error / np.maximum(scale, atol + rtol * np.abs(y + z[2]))) ** 2)))
        if norm > 1:
            # Filtered once more, as RADAU5 does: without it the estimate is too large for stiff components.
            slope = system.right(np.array([t]), (y + error)[None])[0] + system.mass @ (ERROR @ z) / h
            norm = float(np.sqrt(np.mean((lu_solve(real, slope) / scale) ** 2)))
        growth = min(MOST_GROWTH, max(LEAST_GROWTH, SAFETY * max(norm, 1e-10) ** -0.25))
        if norm > 1:
            h, before = h * growth, None
            continue
        coefficients = POLYNOMIAL @ z
        last = done
        while last < len(times_s) and (times_s[last] <= t + h or t + h >= end):
            last += 1
        theta = (times_s[done:last, None] - t) / h
        result[done:last] = (y + theta ** np.arange(1, 4) @ coefficients) @ pick
        done, before = last, (coefficients, h, z[2])
        t, y, h = t + h, y + z[2], h * growth
    return result
