import { buildParts } from '../builds/build.ts';
import { CIRCUITS } from '../circuits/circuits.ts';
import type { PointConditions, PointQuantity } from '../parts/catalogue-entry.ts';
import {
  type TypePoint,
  type TypeRow,
  typeTable,
  type WorstPoint,
  worstByFamily,
} from '../parts/type-table.ts';
import { quantityText, type TextUnit } from '../units/quantity-text.ts';
import type { Options } from './options.ts';
import { printJson, printTable } from './output.ts';

/** Every type of the catalogue: the model beside sheets, cards and measured pieces, and the worst disagreement of each family. */
export function typesCommand(options: Options): void {
  const types = typeTable();
  const worst = [...worstByFamily(types)].map(([family, { type, point }]) => ({ family, type, point }));
  if (options.json) {
    printJson({ types, worst });
    return;
  }
  for (const family of new Set(types.map((row) => row.family))) printFamily(family, types);
  process.stdout.write('\nLargest error against a figure with a source, by family:\n');
  printTable(worst.map(worstRow));
  process.stdout.write(`${types.length} types.\n`);
}

function printFamily(family: string, types: readonly TypeRow[]): void {
  process.stdout.write(`\n${family}\n`);
  const own = types.filter((row) => row.family === family);
  printTable([
    ['type', 'figure', 'model', 'known', 'off', 'source'],
    ...own.flatMap((row) =>
      row.points.length > 0 ? row.points.map((point) => pointRow(row, point)) : [bareRow(row)],
    ),
  ]);
  if (!own.some(({ kind }) => placedKinds().has(kind)))
    process.stdout.write('Not used in the bundled circuits; for circuits of your own.\n');
  for (const { type, notRanked } of own) {
    if (notRanked !== undefined) process.stdout.write(`${type}: not ranked, ${notRanked}\n`);
  }
}

/** Kinds of parts that the bundled circuits have places for. */
function placedKinds(): ReadonlySet<string> {
  return new Set([...CIRCUITS.values()].flatMap((circuit) => buildParts(circuit).map(({ kind }) => kind)));
}

function bareRow({ type, dataSource }: TypeRow): string[] {
  return [type, '', '', '', '', dataSource];
}

function pointRow({ type }: TypeRow, point: TypePoint): string[] {
  const { quantity, at, model, source, isMet } = point;
  const value = (amount: number) => figureText(amount, UNITS[quantity]);
  const shown = model === undefined ? 'not modelled' : value(model);
  return [
    type,
    `${WORDS[quantity]}${conditionText(at)}`,
    shown,
    knownText(point, value),
    offText(point, isMet),
    source,
  ];
}

function worstRow({ family, type, point }: WorstPoint & { readonly family: string }): string[] {
  return [family, ...pointRow({ type } as TypeRow, point)];
}

/** Three figures; a ratio takes no prefix. */
function figureText(amount: number, unit: TextUnit | ''): string {
  return unit === '' ? String(Number(amount.toPrecision(3))) : quantityText(amount, unit);
}

function knownText({ minimum, typical, maximum }: TypePoint, value: (amount: number) => string): string {
  const parts = [
    ...(minimum === undefined ? [] : [`from ${value(minimum)}`]),
    ...(typical === undefined ? [] : [`typical ${value(typical)}`]),
    ...(maximum === undefined ? [] : [`to ${value(maximum)}`]),
  ];
  return parts.length === 0 ? 'nothing' : parts.join(', ');
}

function offText({ off, model }: TypePoint, isMet: boolean): string {
  if (model === undefined || off === undefined) return '';
  const percent = `${(100 * off).toFixed(1)} %`;
  return isMet ? percent : `${percent}, beyond`;
}

function conditionText({
  forwardA,
  reverseV,
  reverseA,
  collectorA,
  drainA,
  drainV,
  supplyV,
  loadOhms,
}: PointConditions): string {
  const parts = [forwardA, reverseA, collectorA, drainA]
    .filter((amps) => amps !== undefined)
    .map((amps) => quantityText(amps, 'A'));
  const volts = [reverseV, drainV, supplyV].filter((v) => v !== undefined).map((v) => quantityText(v, 'V'));
  const ohms = loadOhms === undefined ? [] : [quantityText(loadOhms, 'Ω')];
  const all = [...parts, ...volts, ...ohms];
  return all.length === 0 ? '' : ` at ${all.join(', ')}`;
}

const WORDS: Readonly<Record<PointQuantity, string>> = {
  forwardVoltageV: 'forward voltage',
  reverseCurrentA: 'reverse current',
  reverseVoltageV: 'reverse voltage',
  recoverySeconds: 'recovery time',
  zenerV: 'Zener voltage',
  differentialOhms: 'differential resistance',
  capacitanceF: 'capacitance',
  currentGain: 'current gain',
  baseEmitterV: 'base-emitter voltage',
  collectorLeakageA: 'collector leakage',
  gateCutoffV: 'gate cut-off',
  gateThresholdV: 'gate threshold',
  zeroBiasDrainA: 'drain current at zero bias',
  transconductanceS: 'transconductance',
  supplyV: 'supply',
  gainBandwidthHz: 'gain-bandwidth',
  slewVPerS: 'slew rate',
  openLoopGain: 'open-loop gain',
  inputBiasA: 'input bias',
  swingV: 'swing',
  quiescentA: 'supply current',
};

/** '' for a ratio. */
const UNITS: Readonly<Record<PointQuantity, TextUnit | ''>> = {
  forwardVoltageV: 'V',
  reverseCurrentA: 'A',
  reverseVoltageV: 'V',
  recoverySeconds: 's',
  zenerV: 'V',
  differentialOhms: 'Ω',
  capacitanceF: 'F',
  currentGain: '',
  baseEmitterV: 'V',
  collectorLeakageA: 'A',
  gateCutoffV: 'V',
  gateThresholdV: 'V',
  zeroBiasDrainA: 'A',
  transconductanceS: 'S',
  supplyV: 'V',
  gainBandwidthHz: 'Hz',
  slewVPerS: 'V/s',
  openLoopGain: '',
  inputBiasA: 'A',
  swingV: 'V',
  quiescentA: 'A',
};
