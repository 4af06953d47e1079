import { describe, expect, it } from 'vitest';
import { meterText, netVolts } from '../../engine/analysis/net-volts.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { presetNamed } from '../../ui/state/presets.ts';

const voltsOf = (build: ReturnType<typeof presetNamed>) =>
  netVolts(build, networkOf(build, NOMINAL_TEMPERATURE_K), 'on');

describe('DC voltages of the nets', () => {
  const build = presetNamed('soft-plain');
  const volts = voltsOf(build);

  it('are those of a divider at the bias: half the supply, less what the circuit takes', () => {
    // 9 V through 10 ohms, then two resistors of 10k; base currents take millivolts.
    expect(volts['supply']).toBeGreaterThan(8.9);
    expect(volts['supply']).toBeLessThan(9);
    expect(volts['bias']).toBeCloseTo(volts['supply']! / 2, 1);
  });

  it('are 0 V at input and output, behind their capacitors', () => {
    expect(volts['in']).toBeCloseTo(0, 6);
    expect(volts['out']).toBeCloseTo(0, 6);
  });

  it('have no net that a part which is not fitted leaves without current', () => {
    const open = voltsOf({ ...build, parts: { ...build.parts, R9: { ...build.parts['R9'], fit: 'open' } } });
    // Of the other leg of R9 only C6 is left, to ground: a meter finds no voltage of its own there.
    expect(Object.keys(volts)).toContain('R9.2');
    expect(Object.keys(volts).filter((net) => !(net in open))).toEqual(['R9.2']);
  });
});

describe('a voltage as a multimeter shows it', () => {
  it.each([
    [4.4984, '4.50 V'],
    [-8.8765, '−8.88 V'],
    [17.93, '17.93 V'],
    [25.04, '25.0 V'],
    [0.6123, '0.612 V'],
    [0.01234, '12 mV'],
    [-0.0004, '0 V'],
    [1.9996, '2.00 V'],
    [19.997, '20.0 V'],
  ])('of %f V reads %s', (value, text) => {
    expect(meterText(value)).toBe(text);
  });
});
