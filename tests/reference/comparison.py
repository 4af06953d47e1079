"""Places where a new record differs from the stored one, each kind of value with its own tolerance."""

import numpy as np

from encoding import decode, error_db

# float32 rounds at about -150 dB; another processor or SciPy version may take other steps within 1e-10.
WAVE_TOLERANCE_DB = -135.0
VOLT_TOLERANCE_V = 1e-9
GAIN_TOLERANCE_DB = 1e-6
# A seventh harmonic at -143 dB is only five decades above the integration error.
HARMONIC_TOLERANCE_DB = 0.01


def tolerance_of(path):
    """Kind of comparison for a value, from its key."""
    key = path.rsplit("/", 1)[-1]
    if key == "samplesBase64" and "/vectors/" in path:
        return "wave"
    if key.endswith("Base64"):
        return "float64"
    return "plain"


def differences(made, kept, path=""):
    """Places where a new record differs from the stored one by more than the tolerances."""
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
        # Part values and device data are much smaller numbers than a nanovolt: they are compared by ratio.
        if path.startswith("/numbers") or "/tracks/" in path:
            near = abs(made - kept) <= 1e-12 * abs(kept)
        return [] if near else [f"{path}: {made} against {kept}"]
    return [] if made == kept else [f"{path}: {made} against {kept}"]
