const NUMBER = /^(\d+(?:[.,]\d+)?|[.,]\d+)(e[+-]?\d{1,2})?\s*([munpµμk]?)\s*([AV]?)$/i;
/** Powers of ten. */
const PREFIXES: Readonly<Record<string, number>> = { '': 0, k: 3, m: -3, u: -6, µ: -6, μ: -6, n: -9, p: -12 };

/** Longest text that is read; the search takes longer for longer ones. */
const MOST_CHARACTERS = 30;

/**
 * A current or voltage as it is read off a meter: "10u", "10 µA", "155 mV", "0.155", "1e-5". A sign is not read: everything
 * that is measured of a piece is a magnitude.
 *
 * @param unit That may follow. @returns In that unit; undefined for a text that is none.
 */
export function measuredNumber(text: string, unit: 'A' | 'V'): number | undefined {
  const trimmed = text.trim();
  const found = trimmed.length > MOST_CHARACTERS ? null : NUMBER.exec(trimmed);
  if (!found) return undefined;
  const [, digits = '', exponent = '', prefix = '', written = ''] = found;
  if (written !== '' && written.toUpperCase() !== unit) return undefined;
  // "M" is not meant: nothing here is a million.
  const power = prefix === 'M' ? undefined : (PREFIXES[prefix] ?? PREFIXES[prefix.toLowerCase()]);
  if (power === undefined) return undefined;
  // Written out, so that 10u is 1e-5 to the bit.
  return Number(`${digits.replace(',', '.')}e${Number(exponent.slice(1)) + power}`);
}
