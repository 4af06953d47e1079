import type { DatasheetPoint, DiodeEntry } from './catalogue-entry.ts';
import { isSourced } from './curve-points.ts';
import { diodeEntry } from './part-types.ts';
import { typeName } from './piece.ts';
import type { DatedEntry } from './type-figure.ts';

/** Points of a forward curve that a source has to give. */
const LEAST_FORWARD_POINTS = 2;

/**
 * What a type's data lacks for a verdict on it, as it follows "not ranked: "; undefined if it lacks nothing. A diode
 * needs two points of its curve and one reverse current from a document or a measured piece; with less it is a guess,
 * which can be heard but not be compared with other types. Other kinds are compared as they are.
 */
export function missingData(entry: DatedEntry): string | undefined {
  if (entry.kind !== 'diode') return undefined;
  const links = entry.chain?.map((link) => link.entry) ?? [entry];
  const gaps = [...new Set(links.flatMap(diodeGaps))];
  return gaps.length === 0 ? undefined : `no source for ${gaps.join(' and ')}`;
}

/** The same of what is soldered at a place of a kind: its type, and the one piggybacked on it. */
export function settingGap(
  kind: string,
  { type, piggyback }: { readonly type?: string; readonly piggyback?: string },
): string | undefined {
  if (kind !== 'diode') return undefined;
  const gaps = [type, piggyback].flatMap((name) => {
    const gap = name === undefined ? undefined : missingData(diodeEntry(name));
    return gap === undefined ? [] : `${typeName(name ?? '')} has ${gap}`;
  });
  return gaps.length === 0 ? undefined : [...new Set(gaps)].join('; ');
}

function diodeGaps({ limits, reverse }: DiodeEntry): readonly string[] {
  const sourced = limits.filter(({ source }) => isSourced(source));
  const isWhole = curvePoints(sourced) >= LEAST_FORWARD_POINTS;
  const hasLeak = reverse !== undefined || sourced.some(({ quantity }) => quantity === 'reverseCurrentA');
  return [
    ...(isWhole ? [] : [`${LEAST_FORWARD_POINTS} points of its curve`]),
    ...(hasLeak ? [] : ['its reverse current']),
  ];
}

/** Currents at which the sources say what the type drops: forwards, or backwards where it is made to conduct. */
function curvePoints(points: readonly DatasheetPoint[]): number {
  const places = points.flatMap(({ quantity, at }) => {
    if (quantity === 'forwardVoltageV') return [`forwards ${at.forwardA}`];
    if (quantity === 'zenerV' || quantity === 'differentialOhms') return [`${quantity} ${at.reverseA}`];
    return quantity === 'gateThresholdV' ? [`channel ${at.drainA}`] : [];
  });
  return new Set(places).size;
}
