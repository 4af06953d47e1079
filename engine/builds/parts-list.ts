import { partsOf } from '../circuits/circuit.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import { KIND_NAMES } from '../circuits/part-values.ts';
import { footprintText } from '../parts/footprint.ts';
import { footprintOf } from '../parts/footprint-change.ts';
import { diodeEntry } from '../parts/part-types.ts';
import { typeName } from '../parts/piece.ts';
import { refText } from './alias.ts';
import { type Build, buildParts, type PartSetting } from './build.ts';
import { settingText } from './part-setting.ts';

/** One line of a parts list: what to order, how many, and where it goes. */
export interface PartsListRow {
  readonly kind: string;
  /** Value (with taper) or type, as on the bag. */
  readonly value: string;
  readonly quantity: number;
  readonly refs: readonly string[];
  /** Case and legs of a type; empty for what is bought by value. */
  readonly pins: string;
}

/**
 * Parts of a build, equal ones together. Parts that are not fitted or jumpered are not on the list. Diodes in
 * series and piggyback parts count one by one; the sections of a dual-gang potentiometer are one part.
 */
export function partsList(build: Build): readonly PartsListRow[] {
  const circuit = fittedCircuit(build);
  const rows = new Map<string, PartsListRow>();
  const add = (kind: string, text: string, quantity: number, ref: string, chosen = '') => {
    const value = `${typeName(text)}${chosen}`;
    const key = `${kind} ${value}`;
    const row = rows.get(key);
    const footprint = footprintOf(text);
    rows.set(key, {
      kind,
      value,
      quantity: (row?.quantity ?? 0) + quantity,
      refs: [...(row?.refs ?? []), ref],
      pins: footprint ? footprintText(footprint) : '',
    });
  };
  const ganged = circuit.knobs.filter(({ gang }) => gang && build.switches[gang.switch] === gang.position);
  const followers = new Set(ganged.map(({ ref }) => ref));
  const leaders = new Set(
    circuit.knobs.filter(({ name }) => ganged.some(({ gang }) => gang?.knob === name)).map(({ ref }) => ref),
  );
  for (const { ref, kind, polarised } of buildParts(circuit)) {
    const setting = build.parts[ref]!;
    if (setting.fit !== undefined || followers.has(ref)) continue;
    const { count, piggyback, dielectric, capacitance, ...rest } = setting;
    const chosen = capacitance === undefined ? '' : `, ${capacitance} capacitance`;
    const single: PartSetting =
      dielectric === undefined || dielectric === 'electrolytic' ? rest : { ...rest, dielectric };
    const made = setting.dielectric ?? (polarised ? 'electrolytic' : undefined);
    const isElectrolytic = kind === 'capacitor' && made === 'electrolytic';
    const name = isElectrolytic ? 'electrolytic capacitor' : KIND_NAMES[kind];
    const own = leaders.has(ref) ? 'dual-gang potentiometer' : name;
    const called = refText(build, ref);
    for (const text of kind === 'diode' ? wiredTypes(single.type!) : [single.type ?? settingText(single)])
      add(own, text, count ?? 1, called, chosen);
    const beside = piggyback === undefined ? [] : [settingText({ ...single, value: piggyback })];
    const second = piggyback !== undefined && kind === 'diode' ? wiredTypes(piggyback) : beside;
    for (const text of second) add(name, text, 1, `${called} piggyback`, kind === 'diode' ? chosen : '');
  }
  for (const { ref, name, isWiring } of circuit.switches) if (!isWiring) add('switch', name, 1, ref);
  const poles = (circuit.bypass.footswitch ?? []).filter((ref) => partsOf(circuit).has(ref));
  poles.forEach((ref, index) => {
    add('switch', 'footswitch', index === 0 ? 1 : 0, ref);
  });
  return [...rows.values()];
}

/** What to order for several pedals: equal parts together, with the number of the pedal at each place: "2:R4". */
export function orderList(lists: readonly (readonly PartsListRow[])[]): readonly PartsListRow[] {
  const rows = new Map<string, PartsListRow>();
  lists.forEach((list, index) => {
    for (const row of list) {
      const key = `${row.kind} ${row.value}`;
      const known = rows.get(key);
      const refs = row.refs.map((ref) => `${index + 1}:${ref}`);
      rows.set(key, {
        ...row,
        quantity: (known?.quantity ?? 0) + row.quantity,
        refs: [...(known?.refs ?? []), ...refs],
      });
    }
  });
  return [...rows.values()];
}

const HEADINGS = ['kind', 'value', 'quantity', 'refs', 'pins'];

/**
 * The list as comma-separated values with a header line.
 *
 * @see RFC 4180
 */
export function partsListCsv(rows: readonly PartsListRow[]): string {
  return csv([HEADINGS, ...rows.map(cellsOf)]);
}

/** The same for several pedals, with a column for the pedal's number; the rows of "order" are those of all together. */
export function partsListsCsv(lists: readonly (readonly PartsListRow[])[]): string {
  const numbered = lists.flatMap((rows, index) => rows.map((row) => [`${index + 1}`, ...cellsOf(row)]));
  const order = orderList(lists).map((row) => ['order', ...cellsOf(row)]);
  return csv([['pedal', ...HEADINGS], ...numbered, ...order]);
}

function cellsOf({ kind, value, quantity, refs, pins }: PartsListRow): readonly string[] {
  return [kind, value, String(quantity), refs.join(' '), pins];
}

function csv(lines: readonly (readonly string[])[]): string {
  const quote = (text: string) => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
  return lines.map((line) => `${line.map(quote).join(',')}\r\n`).join('');
}

/** The types to order for a diode: itself, or the parts in series that it stands for. */
function wiredTypes(type: string): readonly string[] {
  return diodeEntry(type).chain?.map(({ entry }) => entry.type) ?? [type];
}
