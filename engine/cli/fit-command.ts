import { numberedName } from '../builds/measured-parts.ts';
import { newNameProblem } from '../builds/pieces.ts';
import { aKind } from '../circuits/part-values.ts';
import {
  drainCurrent,
  forwardPoints,
  GUIDE_BASE_OHMS,
  jfetFigures,
  type Meter,
  pointDoubts,
  type Reading,
  reversePoint,
  transistorFigures,
  USUAL_METER_OHMS,
} from '../parts/battery-measurement.ts';
import { CATALOGUE, catalogueType } from '../parts/catalogue.ts';
import { type FitRange, fitRanges, leftOpen } from '../parts/fit-range.ts';
import type { CurvePoint } from '../parts/junction-fit.ts';
import { junctionKind } from '../parts/junction-kind.ts';
import { nearestDiodeType, type UnmarkedDiode } from '../parts/nearest-type.ts';
import { bjtEntry } from '../parts/part-types.ts';
import { fitTaper, type PotPiece, readPassive, type TaperFit } from '../parts/passive-piece.ts';
import { hasPieces, type MeasuredPiece, type Piece, readMeasured } from '../parts/piece.ts';
import { type FitMiss, fitMisses, fitPiece, fitWarnings, worstMissV } from '../parts/piece-fit.ts';
import { measuredNumber } from '../units/measured-number.ts';
import { quantityText } from '../units/quantity-text.ts';
import { potTitle } from '../units/taper.ts';
import { formatValue, parseValue, ValueError } from '../units/value-code.ts';
import { CliError } from './cli-error.ts';
import { named, type Options } from './options.ts';
import { printJson, printTable } from './output.ts';
import { writeOutput } from './output-file.ts';

/** Options that each kind takes besides those of all. */
const OWN_OPTIONS = {
  diode: ['points', 'reverse', 'supply', 'meter', 'room'],
  transistor: ['gain', 'leakage', 'fed', 'open', 'base', 'supply', 'meter', 'room'],
  jfet: ['idss', 'cutoff', 'supply', 'meter'],
  pot: ['ends', 'middle', 'quarter'],
} as const satisfies Readonly<Record<string, readonly (keyof Options)[]>>;
type FitKind = keyof typeof OWN_OPTIONS;
const FIT_KINDS = Object.keys(OWN_OPTIONS) as readonly FitKind[];
/** Of a new battery; common practice. */
const USUAL_SUPPLY_V = 9;

/** Fits the model of one part to what a builder has measured of it, and states by how much it is off. */
export function fitCommand(options: Options): void {
  const kind = kindOf(options);
  checkOptions(options, kind);
  if (kind === 'pot') fitPot(options);
  else fitModel(options, kind);
}

function kindOf({ kind }: Options): FitKind {
  const found = FIT_KINDS.find((each) => each === kind);
  if (found) return found;
  const given = kind === undefined ? 'Say what to fit' : `${named(kind)} cannot be fitted`;
  throw new CliError(
    `${given}: diode, transistor, jfet or pot, such as "cliplead fit diode --points 0.3/100uA".`,
  );
}

function checkOptions(options: Options, kind: FitKind): void {
  const own: readonly string[] = OWN_OPTIONS[kind];
  const other = Object.values(OWN_OPTIONS)
    .flat()
    .find((option) => options[option] !== undefined && !own.includes(option));
  if (other !== undefined)
    throw new CliError(
      `--${other} does not apply to a ${kind}: it takes ${own.map((option) => `--${option}`).join(', ')}.`,
    );
}

function fitModel(options: Options, kind: Exclude<FitKind, 'pot'>): void {
  const piece = fitPiece(readMeasured(measuredOf(options, kind)));
  const problem = newNameProblem([], piece.name);
  if (problem !== undefined) throw new CliError(problem);
  write(options, piece);
  const misses = fitMisses(piece);
  const warnings = [...fitWarnings(piece), ...(piece.kind === 'diode' ? pointDoubts(piece.forward) : [])];
  const of = piece.kind === 'diode' && { ranges: fitRanges(piece), kind: junctionKind(piece) };
  if (options.json)
    printJson({ piece, misses, worstMissV: worstMissV(misses), ...of, leftOpen: leftOpen(piece), warnings });
  else printPiece(piece, misses, warnings);
}

function fitPot(options: Options): void {
  const endOhms = ohmsOf('ends', needed('ends', options));
  const like = options.like ?? formatValue(endOhms, 'ohms', 3);
  const name = options.name ?? numberedName([], like);
  const piece = readPassive({
    ...{ name, kind: 'pot', like, endOhms },
    middleOhms: ohmsOf('middle', needed('middle', options)),
    ...(options.quarter !== undefined && { quarterOhms: ohmsOf('quarter', options.quarter) }),
  }) as PotPiece;
  write(options, piece);
  const taper = fitTaper(piece);
  if (options.json) printJson({ piece, ...taper });
  else printPot(piece, taper);
}

function write({ out }: Options, piece: object): void {
  if (out !== undefined) writeOutput('out', out, `${JSON.stringify(piece, undefined, 2)}\n`);
}

function measuredOf(options: Options, kind: Exclude<FitKind, 'pot'>): MeasuredPiece {
  if (kind === 'diode') return diodeOf(options);
  const like = likeOf(options, kind);
  const base = { name: options.name ?? numberedName([], like.type), kind: like.kind, like: like.type };
  const figures = kind === 'jfet' ? jfetOf(options) : transistorOf(options, like.type);
  return { ...base, ...figures } as MeasuredPiece;
}

function diodeOf(options: Options): MeasuredPiece {
  const room = roomOf(options);
  const forward = pointsOf(options, needed('points', options));
  const { reverse } = options;
  const measured = {
    forward,
    ...(reverse !== undefined && { reverse: reverseOf(options, reverse) }),
    ...room,
  };
  if (options.like === undefined) return unmarkedOf(options, measured);
  const { type } = likeOf(options, 'diode');
  return { name: options.name ?? numberedName([], type), kind: 'diode', like: type, ...measured };
}

/** A diode that nobody knows the name of is called by its kind. */
function unmarkedOf({ name }: Options, measured: UnmarkedDiode): MeasuredPiece {
  // What is no curve gives its own message, instead of one of the type that is sought for it.
  readMeasured({ name: name ?? 'diode', kind: 'diode', like: '', ...measured });
  const { type, kind } = nearestDiodeType(measured);
  const called = kind === undefined ? 'diode' : kind === 'LED' ? 'LED' : `${kind} diode`;
  return {
    ...{ name: name ?? numberedName([], called), kind: 'diode', like: type, ...measured },
    isLikeGuessed: true,
  };
}

/** Points with a current stand as they are; those with a resistor are readings. All are of one sort. */
function pointsOf(options: Options, text: string): readonly CurvePoint[] {
  const words = listOf(text);
  const isReading = words.map((word) => isOhms(pairOf('points', word)[1]));
  if (isReading.every(Boolean))
    return forwardPoints(
      meterOf(options),
      words.map((word) => readingOf('points', word)),
    );
  if (isReading.some(Boolean))
    throw new CliError('--points: give a current for each point, or a resistor for each point.');
  return words.map((word) => pointOf('points', word));
}

/** Items of a list, each of two figures; a decimal comma before the slash is taken, since an item has one slash. */
function listOf(text: string): readonly string[] {
  return (text.match(/[^/]+\/[^,/]*/g) ?? [text]).map((word) => word.trim().replace(/^,\s*/, ''));
}

function reverseOf(options: Options, text: string): CurvePoint {
  return isOhms(pairOf('reverse', text)[1])
    ? reversePoint(meterOf(options), readingOf('reverse', text))
    : pointOf('reverse', text);
}

function transistorOf(options: Options, like: string): object {
  const { fed, open, leakage } = options;
  const room = roomOf(options);
  if (fed === undefined) {
    if (open !== undefined) throw new CliError('--open goes with --fed: give both, or --leakage.');
    const openBaseA = leakage === undefined ? {} : { openBaseA: numberOf('leakage', leakage, 'A') };
    return { ...gainOf(needed('gain', options)), ...openBaseA, ...room };
  }
  const readings = {
    fed: readingOf('fed', fed),
    ...(open !== undefined && { open: readingOf('open', open) }),
    baseOhms: options.base === undefined ? GUIDE_BASE_OHMS : ohmsOf('base', options.base),
  };
  return { ...transistorFigures(meterOf(options), readings, bjtEntry(like)), ...room };
}

/** What a component tester shows stands as it is; volts across a resistor are of the battery and the meter. */
function jfetOf(options: Options): object {
  const full = ampsOrReading('idss', needed('idss', options));
  const cutoff = voltsOrReading('cutoff', needed('cutoff', options).replace(/^[-−]/, ''));
  if (typeof full === 'object' || typeof cutoff === 'object')
    return jfetFigures(meterOf(options), full, cutoff);
  return { zeroBiasDrainA: drainCurrent(full), cutoffV: cutoff };
}

const ampsOrReading = (option: string, text: string): number | Reading =>
  text.includes('/') ? readingOf(option, text) : numberOf(option, text, 'A');

const voltsOrReading = (option: string, text: string): number | Reading =>
  text.includes('/') ? readingOf(option, text) : numberOf(option, text, 'V');

const KINDS_OF: Readonly<Record<Exclude<FitKind, 'pot'>, readonly string[]>> = {
  diode: ['diode'],
  transistor: ['npn', 'pnp'],
  jfet: ['nJfet', 'pJfet'],
};

function likeOf({ like }: Options, kind: Exclude<FitKind, 'pot'>) {
  if (like === undefined)
    throw new CliError(
      `--like is missing: name the type that the ${kind} is closest to, which gives what was not measured.`,
    );
  const type = catalogueType(like);
  const entry = CATALOGUE.find((each) => each.type === type);
  if (!entry)
    throw new CliError(
      `--like ${named(like)} is not in the catalogue: give the type that is closest to the piece.`,
    );
  if (hasPieces(entry.kind) && KINDS_OF[kind].includes(entry.kind)) return entry;
  throw new CliError(`--like ${named(like)} is ${aKind(entry.kind)}, not a ${kind}.`);
}

function meterOf({ supply, meter }: Options): Meter {
  return {
    supplyV: supply === undefined ? USUAL_SUPPLY_V : numberOf('supply', supply, 'V'),
    inputOhms: meter === undefined ? USUAL_METER_OHMS : ohmsOf('meter', meter),
  };
}

function roomOf({ room }: Options): { readonly roomC?: number } {
  if (room === undefined) return {};
  const roomC = room.trim() === '' ? Number.NaN : Number(room.replace(',', '.'));
  if (Number.isFinite(roomC)) return { roomC };
  throw new CliError(`--room ${named(room)} is not a temperature: write °C, such as 21.`);
}

function needed(option: 'points' | 'gain' | 'idss' | 'cutoff' | 'ends' | 'middle', options: Options): string {
  const text = options[option];
  if (text !== undefined) return text;
  throw new CliError(`--${option} is missing: "cliplead fit --help" says what is measured.`);
}

/** "0.2/10uA": what was read, and what it belongs to. */
function pairOf(option: string, text: string): readonly [string, string] {
  if (text.trim() === '')
    throw new CliError(`--${option} is empty: write two figures, such as ${exampleOf(option)}.`);
  const [first = '', second = '', ...more] = text.split('/').map((word) => word.trim());
  if (first !== '' && second !== '' && more.length === 0) return [first, second];
  throw new CliError(
    `--${option}: ${named(text.trim())} should be two figures, such as ${exampleOf(option)}.`,
  );
}

function exampleOf(option: string): string {
  return EXAMPLES[option] ?? '0.8/820k';
}

const EXAMPLES: Readonly<Record<string, string>> = {
  gain: '95/1mA',
  points: '0.2/10uA or 0.2/820k',
  idss: '0.06/100R',
};

/** A resistor where a current could stand: no A, and none of the small prefixes that a current has. */
function isOhms(text: string): boolean {
  return /[kKMRΩ]/.test(text) || /^\d+$/.test(text);
}

function pointOf(option: string, text: string): CurvePoint {
  const [volts, amps] = pairOf(option, text);
  return { currentA: numberOf(option, amps, 'A'), voltageV: numberOf(option, volts, 'V') };
}

function readingOf(option: string, text: string): Reading {
  const [volts, ohms] = pairOf(option, text);
  return { volts: numberOf(option, volts, 'V'), ohms: ohmsOf(option, ohms) };
}

/** "95/1mA": a current gain, then the collector current. */
function gainOf(text: string): { readonly currentGain: number; readonly collectorA: number } {
  const [factor, current] = pairOf('gain', text);
  const currentGain = Number(factor.replace(',', '.'));
  if (!Number.isFinite(currentGain))
    throw new CliError(`--gain: ${named(factor)} is not a current gain: write a number such as 95.`);
  return { currentGain, collectorA: numberOf('gain', current, 'A') };
}

function numberOf(option: string, text: string, unit: 'A' | 'V'): number {
  const number = measuredNumber(text, unit);
  if (number === undefined)
    throw new CliError(`--${option}: ${named(text)} is not a number in ${unit}: write it like 10u or 0.155.`);
  return number;
}

function ohmsOf(option: string, text: string): number {
  try {
    return parseValue(text, 'ohms');
  } catch (error) {
    if (!(error instanceof ValueError)) throw error;
    throw new CliError(`--${option}: ${named(text)} is not a resistance: write it like 820k, 8k2 or 470R.`);
  }
}

function printPiece(piece: Piece, misses: readonly FitMiss[], warnings: readonly string[]): void {
  const { name, like, fit } = piece;
  const roomC = 'roomC' in piece ? piece.roomC : undefined;
  const at = roomC === undefined ? '' : `, measured at ${roomC} °C`;
  process.stdout.write(`${name}, like ${like}${at}; at 27 °C: ${fitText(fit)}\n\n`);
  printTable([['', 'measured', 'fit', 'off'], ...misses.map(missRow)]);
  if (misses.some(({ unit }) => unit === 'V'))
    process.stdout.write(`Off by ${(1000 * worstMissV(misses)).toFixed(1)} mV at most.\n`);
  const lines = [...(piece.kind === 'diode' ? diodeLines(piece) : []), ...leftOpen(piece), ...warnings];
  for (const line of lines) process.stdout.write(`${line}\n`);
}

function diodeLines(piece: Extract<Piece, { kind: 'diode' }>): readonly string[] {
  const ranges = fitRanges(piece).map(rangeText);
  const rounding = ranges.length === 0 ? [] : [`With readings to 1 mV: ${ranges.join(', ')}.`];
  return [...rounding, junctionKind(piece).text];
}

/** "n 1.60 ± 0.012"; "n at its limit of 1". */
function rangeText({ of, value, plusMinus, isAtLimit }: FitRange): string {
  const { symbol, unit } = FIT_SYMBOLS[of];
  if (isAtLimit) return `${symbol} at its limit of ${figureText(value, unit)}`;
  return `${symbol} ${figureText(value, unit)}${plusMinus === undefined ? '' : ` ± ${figureText(plusMinus, unit, 2)}`}`;
}

/** Numbers of a fit as textbooks write them. */
const FIT_SYMBOLS: Readonly<Record<string, { readonly symbol: string; readonly unit: string }>> &
  Readonly<Record<FitRange['of'], { readonly symbol: string; readonly unit: string }>> = {
  saturationCurrentA: { symbol: 'I_S', unit: 'A' },
  emissionCoefficient: { symbol: 'n', unit: '' },
  seriesOhms: { symbol: 'R_S', unit: 'Ω' },
  leakageS: { symbol: 'leak', unit: 'S' },
  forwardBeta: { symbol: 'β_F', unit: '' },
  reverseBeta: { symbol: 'β_R', unit: '' },
  collectorLeakageA: { symbol: 'I_L', unit: 'A' },
  betaAPerV2: { symbol: 'β', unit: 'A/V²' },
  thresholdV: { symbol: 'V_to', unit: 'V' },
};

function figureText(value: number, unit: string, digits = 3): string {
  const figures = String(Number(value.toPrecision(digits))).replace(/^-/, '−');
  const isPrefixed = (unit === 'A' || unit === 'S') && value >= 1e-12;
  return isPrefixed ? quantityText(value, unit) : `${figures}${unit === '' ? '' : ` ${unit}`}`;
}

function printPot({ name, endOhms }: PotPiece, { law, misses, doubts }: TaperFit): void {
  process.stdout.write(`${name}: ${formatValue(endOhms, 'ohms', 4)} ${potTitle(law)}\n\n`);
  const percent = (share: number) => `${(100 * share).toFixed(1)} %`;
  const rows = misses.map(({ turn, measured, fitted }) => [
    turn === 0.5 ? 'in the middle' : 'at a quarter',
    ...[measured, fitted, fitted - measured].map(percent),
  ]);
  printTable([['share of the track', 'measured', 'taper', 'off'], ...rows]);
  for (const doubt of doubts) process.stdout.write(`${doubt}\n`);
}

function fitText(fit: Piece['fit']): string {
  return Object.entries(fit)
    .map(([key, value]) => `${FIT_SYMBOLS[key]!.symbol} ${figureText(value, FIT_SYMBOLS[key]!.unit)}`)
    .join(', ');
}

function missRow({ of, measured, fitted, unit }: FitMiss): readonly string[] {
  const shown = (value: number) =>
    unit === '' ? value.toFixed(1) : value === 0 ? `0 ${unit}` : quantityText(value, unit);
  const misses = unit === 'V' ? 1000 * (fitted - measured) : 100 * (fitted / measured - 1);
  const off = Number.isFinite(misses)
    ? `${misses.toFixed(1).replace(/^-(0\.0)$/, '$1')} ${unit === 'V' ? 'mV' : '%'}`
    : '';
  return [of, shown(measured), shown(fitted), off];
}
