import type { Build } from '../builds/build.ts';
import { boardNetsOf } from '../builds/network-of-build.ts';
import { partsOf } from '../circuits/circuit.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import { pinsOf } from '../circuits/part-spec.ts';
import { type LugName, lugName, type Wiring, type WiringItem } from './wiring.ts';
import { BOARD } from './wiring-of-build.ts';
import { netText } from './wiring-places.ts';

/** A wire in words, to be ticked off. */
export interface WireRow {
  readonly from: string;
  /** Another lug, or the board. */
  readonly to: string;
  readonly net: string;
  /** Pins of parts on the board with that net; the most are shown. */
  readonly pins: readonly string[];
  /** Other wires to the same net of the board; a pad with no part has only these. */
  readonly joins: readonly string[];
  readonly isOptional: boolean;
}

const MOST_PINS = 3;

/** All wires in the order of the parts off the board. */
export function wireRows(build: Build, { items, wires }: Wiring): readonly WireRow[] {
  const names = new Map(
    items.flatMap((item) => item.lugs.map((lug) => [lugName(item, lug), lugText(item, lug.lug)])),
  );
  const pinsOn = pinsByNet(build, items);
  const joinedAt = (net: string, own: LugName) =>
    wires
      .filter((wire) => isPad(wire.to) && wire.net === net && wire.from !== own)
      .map(({ from }) => names.get(from)!);
  return wires.map(({ from, to, net, isOptional }) => ({
    from: names.get(from)!,
    to: names.get(to)!,
    net: netText(net),
    pins: isPad(to) ? (pinsOn.get(net) ?? []).slice(0, MOST_PINS) : [],
    joins: isPad(to) ? joinedAt(net, from) : [],
    isOptional,
  }));
}

/** Where on the board a wire ends, in words; empty where it does not go there. */
export function boardText({ pins, joins, isOptional }: WireRow): string {
  const place = pins.length > 0 ? pins.join(', ') : joins.length > 0 ? `pad with ${joins.join(', ')}` : '';
  return `${place}${isOptional ? ' (LED, not fitted)' : ''}`.trim();
}

const isPad = (name: LugName): boolean => name.startsWith(`${BOARD}.`);

function lugText({ ref, kind }: WiringItem, lug: string): string {
  switch (kind) {
    case 'board':
      return 'board';
    case 'LED resistor':
      return ref;
    case 'pot':
    case 'toggle':
    case 'footswitch':
      return `${ref} lug ${lug}`;
    default:
      return `${ref} ${lug}`;
  }
}

/** Pins of parts that stand on the board, by net: there a wire can be soldered, or measured. */
function pinsByNet(build: Build, items: readonly WiringItem[]): ReadonlyMap<string, readonly string[]> {
  const nets = boardNetsOf(build);
  const off = new Set(items.flatMap(({ lugs }) => lugs.map(({ pin }) => pin)));
  const byNet = new Map<string, string[]>();
  for (const [ref, { part }] of partsOf(fittedCircuit(build))) {
    const place = part.kind === 'opamp' ? part.package : ref;
    if (part.kind === 'supply' || part.kind === 'switch' || build.parts[place]?.fit !== undefined) continue;
    for (const pin of pinsOf(part).map((name) => `${ref}.${name}`)) {
      if (off.has(pin)) continue;
      const net = nets(pin);
      byNet.set(net, [...(byNet.get(net) ?? []), pin]);
    }
  }
  return byNet;
}
