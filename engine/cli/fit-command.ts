import { newNameProblem } from '../builds/pieces.ts';
import { CATALOGUE, catalogueType } from '../parts/catalogue.ts';
import type { CurvePoint } from '../parts/junction-fit.ts';
import { hasPieces, type MeasuredPiece, type Piece, type PieceKind, readMeasured } from '../parts/piece.ts';
import { type FitMiss, fitMisses, fitPiece, fitWarnings, worstMissV } from '../parts/piece-fit.ts';
import { measuredNumber } from '../units/measured-number.ts';
import { quantityText } from '../units/quantity-text.ts';
import { CliError } from './cli-error.ts';
import { named, type Options } from './options.ts';
import { printJson, printTable } from './output.ts';
import { writeOutput } from './output-file.ts';

/** Fits the model of one piece to what a builder has measured of it, and states by how much it is off. */
export function pieceCommand(options: Options): void {
  const piece = fitPiece(readMeasured(measuredOf(options)));
  const problem = newNameProblem([], piece.name);
  if (problem !== undefined) throw new CliError(problem);
  if (options.out !== undefined) writeOutput('out', options.out, `${JSON.stringify(piece, undefined, 2)}\n`);
  const misses = fitMisses(piece);
  const warnings = fitWarnings(piece);
  if (options.json) printJson({ piece, misses, worstMissV: worstMissV(misses), warnings });
  else printPiece(piece, misses, warnings);
}

/** Options of which each belongs to one kind. */
const OWN_OPTIONS: Readonly<
  Record<PieceKind, readonly ('forward' | 'reverse' | 'gain' | 'leakage' | 'idss' | 'cutoff')[]>
> = {
  diode: ['forward', 'reverse'],
  npn: ['gain', 'leakage'],
  pnp: ['gain', 'leakage'],
  nJfet: ['idss', 'cutoff'],
  pJfet: ['idss', 'cutoff'],
};

function measuredOf(options: Options): MeasuredPiece {
  const { name, forward, reverse, gain, leakage, idss, cutoff } = options;
  const { kind, like } = kindOf(options);
  if (name === undefined) throw new CliError('--name is missing: name the piece, such as "my OA91".');
  const known = OWN_OPTIONS[kind];
  const other = Object.values(OWN_OPTIONS)
    .flat()
    .find((option) => options[option] !== undefined && !known.includes(option));
  if (other !== undefined)
    throw new CliError(
      `--${other} does not apply to ${like}: give ${known.map((option) => `--${option}`).join(' and ')}.`,
    );
  if (kind === 'diode') {
    const points = needed('forward', forward)
      .split(',')
      .map((word) => pointOf('forward', word));
    return {
      name,
      kind,
      like,
      forward: points,
      ...(reverse !== undefined && { reverse: pointOf('reverse', reverse) }),
    };
  }
  if (kind === 'npn' || kind === 'pnp') {
    const openBaseA = leakage === undefined ? {} : { openBaseA: numberOf('leakage', leakage, 'A') };
    return {
      name,
      kind,
      like,
      ...gainOf(needed('gain', gain)),
      ...openBaseA,
    };
  }
  const zeroBiasDrainA = numberOf('idss', needed('idss', idss), 'A');
  return {
    name,
    kind,
    like,
    zeroBiasDrainA,
    cutoffV: numberOf('cutoff', needed('cutoff', cutoff).replace(/^[-−]/, ''), 'V'),
  };
}

function kindOf({ like = '' }: Options): { readonly kind: PieceKind; readonly like: string } {
  const type = catalogueType(like);
  const entry = CATALOGUE.find((each) => each.type === type);
  if (!entry)
    throw new CliError(
      `--like ${named(like)} is not in the catalogue: give the type that is closest to the piece.`,
    );
  if (hasPieces(entry.kind)) return { kind: entry.kind, like: entry.type };
  throw new CliError(
    `--like ${named(like)}: only diodes, bipolar transistors and JFETs can be measured pieces.`,
  );
}

function needed(option: string, text: string | undefined): string {
  if (text !== undefined) return text;
  throw new CliError(`--${option} is missing: "cliplead piece --help" says what is measured.`);
}

/** "10u 0.155": a current, then a voltage. */
function pointOf(option: string, text: string): CurvePoint {
  const [current, voltage, ...more] = text.trim().split(/\s+/);
  if (voltage === undefined || more.length > 0)
    throw new CliError(
      `--${option}: ${named(text.trim())} should be a current and a voltage, such as "10u 0.155".`,
    );
  return { currentA: numberOf(option, current!, 'A'), voltageV: numberOf(option, voltage, 'V') };
}

/** "95 1m": a current gain, then the collector current. */
function gainOf(text: string): { readonly currentGain: number; readonly collectorA: number } {
  const [factor = '', current, ...more] = text.trim().split(/\s+/);
  const currentGain = Number(factor.replace(',', '.'));
  if (current === undefined || more.length > 0)
    throw new CliError(
      `--gain: ${named(text.trim())} should be a current gain and a current, such as "95 1m".`,
    );
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

function printPiece(
  { name, like, fit }: Piece,
  misses: readonly FitMiss[],
  warnings: readonly string[],
): void {
  process.stdout.write(`${name}, like ${like}: ${fitText(fit)}\n\n`);
  printTable([['', 'measured', 'fit', 'off'], ...misses.map(missRow)]);
  const worstV = worstMissV(misses);
  if (misses.some(({ unit }) => unit === 'V'))
    process.stdout.write(`Off by ${(1000 * worstV).toFixed(1)} mV at most.\n`);
  for (const warning of warnings) process.stdout.write(`${warning}\n`);
}

function fitText(fit: Piece['fit']): string {
  return Object.entries(fit)
    .map(([key, value]) => `${key} ${value}`)
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
