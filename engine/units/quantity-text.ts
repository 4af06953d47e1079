const PREFIXES = [
  [1e9, 'G'],
  [1e6, 'M'],
  [1e3, 'k'],
  [1, ''],
  [1e-3, 'm'],
  [1e-6, 'µ'],
  [1e-9, 'n'],
  [1e-12, 'p'],
] as const;

/** Units of {@link quantityText}. */
export type TextUnit = 'Hz' | 'dB' | 'V' | 'A' | 'Ω' | 'F' | 'S' | 's' | 'V/s';

/**
 * A quantity to three significant figures with its unit: "720 Hz", "3.39 kHz", "410 µA", "24.1 dB".
 * Decibels take no prefix and one decimal, and nobody says millihertz: "0.68 Hz". "none" for what is infinite, 0 or not
 * a number: a cutoff frequency or level that does not exist while a part is not fitted or jumpered.
 */
export function quantityText(value: number, unit: TextUnit): string {
  if (!Number.isFinite(value)) return 'none';
  if (unit === 'dB') return `${value.toFixed(1).replace('-', '−')} dB`;
  if (value === 0) return unit === 'V' ? '0 V' : 'none';
  const size = Math.abs(value);
  if (unit === 'Hz' && size < 1) return `${Number(value.toPrecision(2))} Hz`;
  const [scale, prefix] = PREFIXES.find(([least]) => size >= least * (1 - 0.5e-3)) ?? [1e-12, 'p'];
  const figures = Number((value / scale).toPrecision(3));
  return `${String(figures).replace('-', '−')} ${prefix}${unit}`;
}
