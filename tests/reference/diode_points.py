"""Points that the catalogue's diodes are fitted to, copied by hand: (A, V) forward, (V, A) backward.

Nothing here is read from the TypeScript sources, so that a wrong number there shows as a difference. Where the sources
have no point, the voltages at 10 uA, 0.1, 1 and 10 mA are an estimate from memory of the type's class. Sources:

  measured    one piece of dvhx's public repository of diode curves (1N34A_DO35, 1N60P, LED_RED, ...)
  pieces      mean of several of these
  sheet       typical figures of the datasheet that the catalogue names

A point above 10 mA without a remark stands 7 to 20 % below what the type's sheet allows there, so that the fit does not
pass that limit.
"""


def four(*volts):
    """Voltages at 10 uA, 0.1, 1 and 10 mA."""
    return tuple(zip((1e-5, 1e-4, 1e-3, 1e-2), volts))


# Type: forward points, and a point backwards if the fit has a leak.
POINTS = {
    # Germanium.
    "1N34A": ((*four(0.155, 0.215, 0.291, 0.492), (5e-3, 0.394)), (1.5, 1e-6)),  # measured; leak estimate
    "AA112": (four(0.120, 0.188, 0.345, 0.972), (1.5, 1e-6)),  # middle of two cards from 0.1 mA on; rest estimate
    "OA47": (four(0.110, 0.170, 0.240, 0.350), (1.5, 1.5e-6)),
    "OA79": (four(0.120, 0.190, 0.380, 1.300), (1.5, 2e-6)),
    # 0.2 V at 0.1 mA, 2.45 V at 30 mA: sheet as quoted by Richi's Lab; 450 uA at 100 V and 75 C is 14 uA at 25 C.
    "OA81": (((1e-5, 0.135), (1e-4, 0.200), (1e-3, 0.330), (30e-3, 2.450)), (100.0, 14e-6)),
    "OA85": (four(0.115, 0.175, 0.330, 0.950), (1.5, 0.8e-6)),
    "OA90": (four(0.120, 0.180, 0.340, 0.950), (1.5, 2e-6)),
    "OA91": (four(0.120, 0.180, 0.350, 1.050), (1.5, 1.2e-6)),
    "OA95": (((1e-5, 0.085), (5e-5, 0.125), (1e-3, 0.300), (1e-2, 0.950)), (1.5, 0.8e-6)),  # 50 uA: a meter
    "AA118": (four(0.120, 0.190, 0.360, 1.050), (1.5, 0.7e-6)),
    "AA119": (four(0.120, 0.190, 0.380, 1.200), (1.5, 1.5e-6)),
    "AA143": (four(0.120, 0.180, 0.260, 0.420), (1.5, 1e-6)),
    "AAZ15": (four(0.110, 0.170, 0.240, 0.340), (1.5, 1.5e-6)),
    "1N60": (four(0.120, 0.180, 0.300, 0.850), (1.5, 1.5e-6)),
    "1N100": (four(0.120, 0.180, 0.250, 0.380), (1.5, 1e-6)),
    "1N191": (four(0.130, 0.190, 0.310, 0.750), (1.5, 2e-6)),
    "1N270": ((*four(0.100, 0.155, 0.230, 0.325), (0.2, 0.93)), (1.5, 2e-6)),
    "1N277": ((*four(0.115, 0.175, 0.250, 0.360), (0.1, 0.93)), (1.5, 1.5e-6)),
    "1N295": (four(0.130, 0.190, 0.320, 0.850), (1.5, 2e-6)),
    "1N695": (((1e-5, 0.120), (1e-4, 0.180), (0.8e-3, 0.252), (1e-2, 0.370), (0.1, 0.93)), (1.5, 1.5e-6)),  # 0.8 mA: one piece
    "1S188": (four(0.120, 0.180, 0.300, 0.850), (1.5, 1.5e-6)),
    "D9B": ((*four(0.120, 0.180, 0.270, 0.400), (90e-3, 0.93)), (1.5, 2e-6)),
    "D9E": ((*four(0.120, 0.180, 0.280, 0.530), (30e-3, 0.93)), (1.5, 2e-6)),
    "D9K": ((*four(0.120, 0.180, 0.270, 0.420), (60e-3, 0.93)), (1.5, 2e-6)),
    "D18": (four(0.115, 0.180, 0.310, 0.580), (1.5, 1e-6)),  # within 5 % of the published card from 0.1 mA on
    "D20": (four(0.120, 0.190, 0.320, 0.650), (1.5, 1.5e-6)),
    "GD507A": (four(0.120, 0.180, 0.250, 0.370), (1.5, 1e-6)),
    "NTE109": ((*four(0.110, 0.165, 0.240, 0.330), (0.2, 0.93)), (1.5, 1.5e-6)),
    # Schottky.
    "1N5711": (four(0.235, 0.300, 0.389, 0.678), None),
    # Mean of three measured 1N5819; 0.42 V typical at 1 A: IRF PD-20646; 12 uA typical at 20 V, same.
    "1N5817": (((1e-4, 0.136), (1e-3, 0.198), (1e-2, 0.260), (1.0, 0.420)), (20.0, 12e-6)),
    "1N60P": ((*four(0.163, 0.219, 0.280, 0.373), (5e-3, 0.338), (20e-3, 0.430)), None),  # measured
    "1N6263": (four(0.235, 0.300, 0.389, 0.678), None),
    "BAT41": ((*four(0.260, 0.330, 0.400, 0.490), (0.2, 0.90)), None),  # 0.40 V at 1 mA: sheet
    "BAT42": ((*four(0.150, 0.210, 0.280, 0.360), (0.2, 0.85)), None),
    "BAT43": (((1e-5, 0.155), (1e-4, 0.215), (2e-3, 0.295), (1e-2, 0.365), (0.2, 0.85)), None),  # 2 mA: middle of sheet
    "BAT46": ((*four(0.150, 0.210, 0.280, 0.380), (0.25, 0.85)), None),
    "BAT48": ((*four(0.130, 0.190, 0.250, 0.330), (0.2, 0.60)), None),
    "BAT85": ((*four(0.150, 0.210, 0.275, 0.350), (0.1, 0.60)), None),
    "SD101A": (four(0.245, 0.315, 0.390, 0.640), None),
    "SD101B": (four(0.235, 0.305, 0.380, 0.630), None),
    "SD101C": (four(0.225, 0.295, 0.370, 0.620), None),
    # LEDs. The points at 10 uA read up to 15 mV low: half of that is added.
    "LED-red": ((*four(1.572, 1.690, 1.800, 1.940), (2e-3, 1.830)), None),  # two measured pieces
    "LED-orange": (four(1.590, 1.710, 1.830, 1.970), None),
    # 1.9 V typical at 2 mA: HP low-current lamps; 2.1 V at 20 mA: estimate.
    "LED-yellow": (((1e-5, 1.620), (1e-4, 1.740), (2e-3, 1.900), (20e-3, 2.100)), None),
    # One measured piece, 47 mV lower: so it and the typical 1.8 (HP) and 1.9 V (Vishay 83030) at 2 mA meet halfway.
    "LED-green": ((*four(1.650, 1.753, 1.843, 1.943), (2e-3, 1.873)), None),
    "LED-green-InGaN": (four(2.270, 2.350, 2.450, 2.750), None),
    "LED-blue": ((*four(2.417, 2.490, 2.595, 2.900), (2e-3, 2.650)), None),  # three measured pieces
    "LED-white": (four(2.447, 2.520, 2.620, 2.870), None),  # measured
    "LED-UV": (four(2.650, 2.750, 2.870, 3.150), None),
    "LED-infrared": (((1e-5, 0.900), (1e-4, 0.980), (1e-3, 1.065), (20e-3, 1.200), (0.1, 1.350)), None),
    # Gate to drain, from drain to source: 2.1 V typical threshold at 1 mA (Vishay 70226), 100 mV a decade below
    # (estimate), 2.38 V at 10 mA (square law, K 0.138 A/V2).
    "2N7000 channel": (four(1.900, 2.000, 2.120, 2.381), None),
    "BS170 channel": (four(1.900, 2.000, 2.100, 2.380), None),
    # Base to emitter with an open collector, from the equations of the measured pieces: see germanium_junctions.py.
    "AC128 base-emitter": (four(0.0266, 0.0860, 0.1612, 0.2547), (1.5, 8.22e-6)),
    "OC44 base-emitter": (four(0.1072, 0.1759, 0.2712, 0.6390), (1.5, 0.264e-6)),
}
