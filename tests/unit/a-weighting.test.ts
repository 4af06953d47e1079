import { describe, expect, it } from 'vitest';
import { aWeighting } from '../../engine/audio/a-weighting.ts';

/** IEC 61672-1:2013, table 3, dB at the nominal frequencies, each of which means 10^(n/10) Hz; from memory. */
const TABLE: readonly (readonly [n: number, decibels: number])[] = [
  [10, -70.4],
  [11, -63.4],
  [12, -56.7],
  [13, -50.5],
  [14, -44.7],
  [15, -39.4],
  [16, -34.6],
  [17, -30.2],
  [18, -26.2],
  [19, -22.5],
  [20, -19.1],
  [21, -16.1],
  [22, -13.4],
  [23, -10.9],
  [24, -8.6],
  [25, -6.6],
  [26, -4.8],
  [27, -3.2],
  [28, -1.9],
  [29, -0.8],
  [30, 0],
  [31, 0.6],
  [32, 1.0],
  [33, 1.2],
  [34, 1.3],
  [35, 1.2],
  [36, 1.0],
  [37, 0.5],
  [38, -0.1],
  [39, -1.1],
  [40, -2.5],
  [41, -4.3],
  [42, -6.6],
  [43, -9.3],
];

describe('A-weighting', () => {
  it.each(TABLE)('at 10^(%d/10) Hz is %d dB', (n, decibels) => {
    // The table is rounded to a tenth.
    expect(Math.abs(20 * Math.log10(aWeighting(10 ** (n / 10))) - decibels)).toBeLessThanOrEqual(0.0501);
  });
});
