"""How vectors are stored, and the measure of the difference between two waves."""

import base64
import math
import platform

import numpy as np
import scipy


def encode(values, kind):
    return base64.b64encode(np.asarray(values, dtype=kind).tobytes()).decode()


def decode(text, kind):
    return np.frombuffer(base64.b64decode(text), dtype=kind).astype(float)


def error_db(actual, expected):
    """RMS difference divided by the larger of the expected RMS and 1 mV, dB."""
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
