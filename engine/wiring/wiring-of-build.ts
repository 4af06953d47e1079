import type { Build } from '../builds/build.ts';
import { boardNetsOf } from '../builds/network-of-build.ts';
import { type Circuit, partsOf } from '../circuits/circuit.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import { pinsOf } from '../circuits/part-spec.ts';
import { controlItems } from './control-lugs.ts';
import { footswitchLugs } from './footswitch-lugs.ts';
import { supplyLugs } from './supply-lugs.ts';
import { type Lug, lugName, type Wiring, type WiringItem, type WiringWire } from './wiring.ts';
import { wiringNotes } from './wiring-notes.ts';

/** The board's item, with a pad for each wire. */
export const BOARD = 'board';

/** Whether an item stands beside the board on the side of the controls. */
export const isControl = ({ kind }: WiringItem): boolean =>
  kind === 'pot' || kind === 'toggle' || kind === 'named-switch';

/**
 * What is wired off the board: controls, footswitch, status LED, jacks, DC socket and battery. A lug whose net has parts on the
 * board gets a wire to a pad of its own; two lugs that nothing else shares a net with are wired to each other.
 *
 * @param turns What each knob does when it is turned clockwise, by its name.
 */
export function wiringOf(build: Build, turns: ReadonlyMap<string, string> = new Map()): Wiring {
  const circuit = fittedCircuit(build);
  const nets = boardNetsOf(build);
  const controls = controlItems(build, circuit, nets, turns);
  const footswitch = footswitchLugs(build, circuit, nets);
  const supply = supplyLugs(build, circuit, nets);
  const jacks = jackItems(nets, supply.ring);
  const hardware = [...supply.items, jacks[0]!, ...footswitch.items, jacks[1]!];
  const items = [...controls, ...hardware];
  const onBoard = boardNets(circuit, items, nets);
  const { wires, pads } = wired(controls, hardware, onBoard);
  const board: WiringItem = { ref: BOARD, kind: 'board', title: 'Board', lines: [], lugs: pads };
  const notes = wiringNotes(build, circuit, { footswitch, supply, hasTurns: turns.size > 0 });
  return { items: [...items, board], wires, notes };
}

function jackItems(nets: (pin: string) => string, ring: Lug | undefined): readonly WiringItem[] {
  const lug = (name: string, port: string): Lug => ({ lug: name, name: '', pin: port, net: nets(port) });
  const sleeve = lug('sleeve', ':ground');
  const input: WiringItem = {
    ref: 'input jack',
    kind: 'input jack',
    title: 'Input jack',
    lines: [ring ? 'stereo' : 'mono'],
    lugs: [...(ring ? [ring] : []), sleeve, lug('tip', ':in')],
  };
  const output: WiringItem = {
    ref: 'output jack',
    kind: 'output jack',
    title: 'Output jack',
    lines: ['mono'],
    lugs: [lug('tip', ':out'), sleeve],
  };
  return [input, output];
}

/** Nets with a part on the board. */
function boardNets(
  circuit: Circuit,
  items: readonly WiringItem[],
  nets: (pin: string) => string,
): ReadonlySet<string> {
  const off = new Set(items.flatMap(({ lugs }) => lugs.map(({ pin }) => pin)));
  const pins = [...partsOf(circuit)].flatMap(([ref, { part }]) =>
    part.kind === 'supply' ? [] : pinsOf(part).map((pin) => `${ref}.${pin}`),
  );
  return new Set(pins.filter((pin) => !off.has(pin)).map(nets));
}

/** All wires, and the pads on the board at which some of them end. */
function wired(
  controls: readonly WiringItem[],
  hardware: readonly WiringItem[],
  onBoard: ReadonlySet<string>,
): { readonly wires: readonly WiringWire[]; readonly pads: readonly Lug[] } {
  const wires: WiringWire[] = [];
  const pads: Lug[] = [];
  const atControls = new Set(controls.flatMap(({ lugs }) => lugs.map(({ net }) => net)));
  const ends = hardware.flatMap((item) => item.lugs.map((lug) => ({ item, lug })));
  const toPad = (item: WiringItem, lug: Lug) => {
    const pad = { lug: `${pads.length + 1}`, name: '', net: lug.net! };
    pads.push(pad);
    wires.push(wireBetween({ item, lug }, { item: { ref: BOARD }, lug: pad }));
  };
  for (const item of controls) {
    for (const [index, lug] of item.lugs.entries()) {
      if (lug.net === undefined) continue;
      const before = item.kind === 'pot' ? item.lugs[index - 1] : undefined;
      if (before?.net === lug.net && before) wires.push(wireBetween({ item, lug: before }, { item, lug }));
      else toPad(item, lug);
    }
  }
  for (const { item, lug } of ends) {
    if (lug.net === undefined) continue;
    const same = ends.filter((other) => other.lug.net === lug.net);
    const isDirect = same.length === 2 && !onBoard.has(lug.net) && !atControls.has(lug.net);
    if (!isDirect) toPad(item, lug);
    else if (same[0]!.lug === lug && same[0]!.item === item) wires.push(wireBetween(same[0]!, same[1]!));
  }
  return { wires, pads };
}

interface WireEnd {
  readonly item: Pick<WiringItem, 'ref' | 'isOptional'>;
  readonly lug: Lug;
}

function wireBetween(from: WireEnd, to: WireEnd): WiringWire {
  return {
    from: lugName(from.item, from.lug),
    to: lugName(to.item, to.lug),
    net: from.lug.net!,
    isOptional: [from.item, from.lug, to.item, to.lug].some((each) => each.isOptional === true),
  };
}
