import { newNameProblem } from '../../engine/builds/pieces.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { inLine } from '../../engine/input/shown-text.ts';
import { FORWARD_POINTS, type Piece, type PieceKind, readMeasured } from '../../engine/parts/piece.ts';
import { fitPiece, hasReversePoint } from '../../engine/parts/piece-fit.ts';
import { measuredNumber } from '../../engine/units/measured-number.ts';

/** Texts of the fields by their names. */
export type PieceFields = Readonly<Record<string, string>>;

/** What the fields give: a piece; or what is wrong, or still missing, in a sentence. */
export type PieceEntry =
  | { readonly piece: Piece; readonly problem?: undefined }
  | { readonly piece?: undefined; readonly problem: string; readonly isMissing: boolean };

/** Thrown where a field is still empty. */
class MissingField extends Error {}

/** @param pieces That there are already. Never throws. */
export function pieceEntryOf(kind: PieceKind, fields: PieceFields, pieces: readonly Piece[]): PieceEntry {
  try {
    const piece = fitPiece(readMeasured(measuredOf(kind, fields)));
    const problem = newNameProblem(pieces, piece.name);
    return problem === undefined ? { piece } : { problem, isMissing: false };
  } catch (error) {
    if (error instanceof MissingField) return { problem: error.message, isMissing: true };
    if (error instanceof Refusal) return { problem: error.message, isMissing: false };
    throw error;
  }
}

function measuredOf(kind: PieceKind, fields: PieceFields): object {
  const name = textOf(fields, 'name') || 'The piece';
  const base = { name, kind, like: textOf(fields, 'like') };
  const measured = { ...base, ...figuresOf(kind, fields) };
  if (textOf(fields, 'name') === '') throw new MissingField('Give the piece a name.');
  return measured;
}

function figuresOf(kind: PieceKind, fields: PieceFields): object {
  if (kind === 'diode') return diodeFigures(fields);
  if (kind === 'npn' || kind === 'pnp') {
    const currentGain = gainOf(needed(fields, 'gain', 'the current gain'));
    const collectorA = numberOf(needed(fields, 'collector', 'the collector current'), 'A');
    const leakage = textOf(fields, 'leakage');
    return { currentGain, collectorA, ...(leakage !== '' && { openBaseA: numberOf(leakage, 'A') }) };
  }
  const zeroBiasDrainA = numberOf(needed(fields, 'idss', 'the drain current'), 'A');
  const cutoffV = numberOf(needed(fields, 'cutoff', 'the cutoff voltage').replace(/^[-−]/, ''), 'V');
  return { zeroBiasDrainA, cutoffV };
}

function diodeFigures(fields: PieceFields): object {
  const rows = Array.from({ length: FORWARD_POINTS.most }, (_, index) => pairOf(fields, `${index}`));
  const forward = rows.filter((row) => row !== undefined);
  if (forward.length < FORWARD_POINTS.least)
    throw new MissingField('Type at least one point, with units, such as 10 µA and 0.3 V; three are better.');
  // The form shows no row for it then.
  const reverse = hasReversePoint(textOf(fields, 'like')) ? pairOf(fields, 'reverse') : undefined;
  return { forward, ...(reverse && { reverse }) };
}

/** Current and voltage of a row; undefined for an empty one. */
function pairOf(fields: PieceFields, row: string) {
  const [current, voltage] = [textOf(fields, `${row} current`), textOf(fields, `${row} voltage`)];
  if (current === '' && voltage === '') return undefined;
  if (current === '' || voltage === '') throw new MissingField('Each point needs a current and a voltage.');
  return { currentA: numberOf(current, 'A'), voltageV: numberOf(voltage, 'V') };
}

function gainOf(text: string): number {
  const gain = Number(text.replace(',', '.'));
  if (Number.isFinite(gain)) return gain;
  throw new Refusal('value', `"${inLine(text, 20)}" is no current gain: write a number such as 350.`);
}

function numberOf(text: string, unit: 'A' | 'V'): number {
  const number = measuredNumber(text, unit);
  if (number !== undefined) return number;
  const examples = unit === 'A' ? '10 µA or 1 mA' : '155 mV or 0.155 V';
  throw new Refusal(
    'value',
    `"${inLine(text, 20)}" is no ${unit === 'A' ? 'current' : 'voltage'}: write ${examples}.`,
  );
}

function needed(fields: PieceFields, name: string, what: string): string {
  const text = textOf(fields, name);
  if (text === '') throw new MissingField(`Type ${what}.`);
  return text;
}

function textOf(fields: PieceFields, name: string): string {
  return (fields[name] ?? '').trim();
}
