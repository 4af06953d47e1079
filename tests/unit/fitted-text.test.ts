import { describe, expect, it } from 'vitest';
import { fittedText } from '../../ui/components/schematic/fitted-text.ts';

describe('a label on the schematic', () => {
  it('shows "not fitted" whole', () => {
    // An upright part has room for 8 characters beside it.
    expect(fittedText('B not fitted', 8)).toMatchObject({ written: 'B unfitted' });
  });

  it('is unchanged where it has room', () => {
    expect(fittedText('4k7', 8)).toEqual({ written: '4k7', share: 1 });
  });

  it('shows both of two parts in parallel, without spaces and smaller instead of cut', () => {
    expect(fittedText('4k7 // 10k', 8)).toEqual({ written: '4k7//10k', share: 1 });
    const { written, share } = fittedText('A 47n // 100n', 8);
    expect(written).toBe('A 47n//100n');
    expect(share).toBeCloseTo(8 / 11);
  });

  it('is never wider than its room', () => {
    for (let length = 1; length < 40; length++) {
      const { written, share } = fittedText('x'.repeat(length), 9);
      expect(written.length * share).toBeLessThanOrEqual(9 + 1e-9);
    }
  });

  it('is cut at its end, with a mark, if it would be too small to read', () => {
    const { written, share } = fittedText('A 2x 1N4148 // LED-red', 9);
    expect(written).toBe('A 2x1N4148/…');
    expect(share).toBeGreaterThanOrEqual(0.7);
  });
});
