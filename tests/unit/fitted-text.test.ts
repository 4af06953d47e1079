import { describe, expect, it } from 'vitest';
import { fittedText } from '../../engine/drawing/fitted-text.ts';
import { textWidth } from '../../engine/drawing/text-width.ts';

/** Room beside an upright part, as a multiple of the size of the letters. */
const ROOM = 4.86;

describe('a label on the schematic', () => {
  it('shows "not fitted" whole', () => {
    expect(fittedText('B not fitted', ROOM, 600)).toMatchObject({ written: 'B unfitted' });
  });

  it('is unchanged where it has room', () => {
    expect(fittedText('4k7', ROOM, 400)).toEqual({ written: '4k7', share: 1 });
  });

  it('shows both of two parts in parallel, without spaces and smaller instead of cut', () => {
    expect(fittedText('47k // 100', ROOM, 600)).toEqual({ written: '47k//100', share: 1 });
    const { written, share } = fittedText('A 47n // 100n', ROOM, 600);
    expect(written).toBe('A 47n//100n');
    expect(share).toBeCloseTo(ROOM / textWidth(written, 600));
  });

  it('is never wider than its room, whatever its letters', () => {
    for (const letter of ['i', 'x', 'W', '漢'])
      for (let length = 1; length < 40; length++) {
        const { written, share } = fittedText(letter.repeat(length), 5.5, 400);
        expect(textWidth(written, 400) * share).toBeLessThanOrEqual(5.5 + 1e-9);
      }
  });

  it('is cut at its end, with a mark, if it would be too small to read', () => {
    const { written, share } = fittedText('A 2x 1N4148 // LED-red', 5.5, 600);
    expect(written).toMatch(/^A 2x1N4148.*…$/);
    expect(share).toBeGreaterThanOrEqual(0.7);
  });
});
