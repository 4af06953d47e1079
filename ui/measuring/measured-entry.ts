import { type MeasuredPart, measuredNameProblem, numberedName } from '../../engine/builds/measured-parts.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { inLine } from '../../engine/input/shown-text.ts';
import {
  drainCurrent,
  forwardPoints,
  GUIDE_BASE_OHMS,
  GUIDE_COLLECTOR_OHMS,
  GUIDE_DRAIN_OHMS,
  GUIDE_OHMS,
  jfetFigures,
  type Meter,
  type Reading,
  reversePoint,
  transistorFigures,
  USUAL_METER_OHMS,
} from '../../engine/parts/battery-measurement.ts';
import { bjtEntry } from '../../engine/parts/part-types.ts';
import { readPassive } from '../../engine/parts/passive-piece.ts';
import { FORWARD_POINTS, PIECE_LIMITS, readMeasured } from '../../engine/parts/piece.ts';
import { fitPiece, hasReversePoint } from '../../engine/parts/piece-fit.ts';
import { measuredNumber } from '../../engine/units/measured-number.ts';
import { parseValue } from '../../engine/units/value-code.ts';

export type MeasuredKind = MeasuredPart['kind'];

/** How a part is measured: with a battery and resistors, in the meter's diode range, or by an instrument that shows the figures. */
export type Method = 'battery' | 'range' | 'figures';

/** Texts of the fields by their names. */
export type Fields = Readonly<Record<string, string>>;

/** What the fields give: a part; or what is wrong, or still missing, in a sentence. */
export type MeasuredEntry =
  | { readonly part: MeasuredPart; readonly problem?: undefined }
  | { readonly part?: undefined; readonly problem: string; readonly isMissing: boolean };

/** What is asked for. */
export interface Asked {
  readonly kind: MeasuredKind;
  readonly method: Method;
  readonly fields: Fields;
}

/** Thrown where a field is still empty. */
class MissingField extends Error {}

/** The part that was typed; without a name it gets its number. @param taken Parts whose names are taken. Never throws. */
export function measuredEntryOf(asked: Asked, taken: readonly MeasuredPart[]): MeasuredEntry {
  try {
    const part = partOf(asked, taken);
    const problem = measuredNameProblem(taken, part.name);
    return problem === undefined ? { part } : { problem, isMissing: false };
  } catch (error) {
    if (error instanceof MissingField) return { problem: error.message, isMissing: true };
    if (error instanceof Refusal) return { problem: error.message, isMissing: false };
    throw error;
  }
}

function partOf({ kind, method, fields }: Asked, taken: readonly MeasuredPart[]): MeasuredPart {
  const like = isOfValue(kind)
    ? needed(fields, 'like', 'what is printed on it, such as 10k').replace(/\s+/g, '')
    : textOf(fields, 'like');
  const base = { name: textOf(fields, 'name') || numberedName(taken, like), kind, like };
  if (isOfValue(kind)) return readPassive({ ...base, ...valuesOf(kind, fields) });
  return fitPiece(readMeasured({ ...base, ...figuresOf(kind, method, fields, like) }));
}

function isOfValue(kind: MeasuredKind): kind is 'resistor' | 'capacitor' | 'pot' {
  return kind === 'resistor' || kind === 'capacitor' || kind === 'pot';
}

function valuesOf(kind: 'resistor' | 'capacitor' | 'pot', fields: Fields): object {
  if (kind !== 'pot') {
    const quantity = kind === 'resistor' ? 'ohms' : 'farads';
    return { value: parseValue(needed(fields, 'value', 'the value that the meter shows'), quantity) };
  }
  const quarter = textOf(fields, 'quarter');
  return {
    endOhms: trackOhms(needed(fields, 'ends', 'the resistance from end to end')),
    middleOhms: trackOhms(needed(fields, 'middle', 'the resistance with the knob in the middle')),
    ...(quarter !== '' && { quarterOhms: trackOhms(quarter) }),
  };
}

/** A wiper at an end reads zero, which no value is. */
function trackOhms(text: string): number {
  return /^0+([.,]0+)?\s*[ΩR]?$/.test(text) ? 0 : parseValue(text, 'ohms');
}

function figuresOf(kind: MeasuredKind, method: Method, fields: Fields, like: string): object {
  if (kind === 'diode') return { ...diodeFigures(method, fields, like), ...roomOf(fields) };
  if (kind === 'npn' || kind === 'pnp')
    return { ...transistorFiguresOf(method, fields, like), ...roomOf(fields) };
  if (method === 'battery') {
    const full = fullDrain(fields);
    const volts = voltsOf(needed(fields, 'cutoff', 'the volts across the 820k'));
    return jfetFigures(meterOf(fields), full, {
      volts,
      ohms: ohmsOf(fields, 'source', GUIDE_OHMS[0]!),
    });
  }
  const idss = needed(fields, 'idss', 'the current with the gate at the source');
  const zeroBiasDrainA = drainCurrent(numberOf(idss, 'A'));
  return { zeroBiasDrainA, cutoffV: voltsOf(needed(fields, 'cutoff', 'the cutoff voltage')) };
}

/** With the gate at the source: the current, or the volts across the resistor at the drain. */
function fullDrain(fields: Fields): number | Reading {
  const [current, volts] = [textOf(fields, 'idss'), textOf(fields, 'drain volts')];
  if (current === '' && volts === '')
    throw new MissingField(
      'Type the current with the gate at the source, or the volts across the resistor at the drain.',
    );
  if (current !== '' && volts !== '')
    throw new Refusal('value', 'Give the current or the volts at the drain, not both.');
  if (current !== '') return numberOf(current, 'A');
  return { volts: voltsOf(volts), ohms: ohmsOf(fields, 'drain ohms', GUIDE_DRAIN_OHMS) };
}

function diodeFigures(method: Method, fields: Fields, like: string): object {
  switch (method) {
    case 'battery':
      return batteryFigures(fields, like);
    case 'range': {
      const voltageV = voltsOf(needed(fields, 'drop', 'what the meter shows'));
      if (voltageV > PIECE_LIMITS.voltageV.most)
        throw new Refusal(
          'value',
          `${voltageV} V is no forward voltage. For millivolts write ${voltageV} mV.`,
        );
      return { forward: [{ voltageV, currentA: numberOf(needed(fields, 'test', 'the test current'), 'A') }] };
    }
    default: {
      const rows = Array.from({ length: FORWARD_POINTS.most }, (_, index) => pairOf(fields, `${index}`));
      const forward = rows.filter((row) => row !== undefined);
      if (forward.length < FORWARD_POINTS.least)
        throw new MissingField(
          'Type at least one point, with units, such as 10 µA and 0.3 V; three are better.',
        );
      // There is no row for it then.
      const reverse = hasReversePoint(like) ? pairOf(fields, 'reverse') : undefined;
      return { forward, ...(reverse && { reverse }) };
    }
  }
}

function batteryFigures(fields: Fields, like: string): object {
  const meter = meterOf(fields);
  const readings = GUIDE_OHMS.flatMap((usual, index): readonly Reading[] => {
    const text = textOf(fields, `${index} volts`);
    return text === '' ? [] : [{ volts: voltsOf(text), ohms: ohmsOf(fields, `${index} ohms`, usual) }];
  });
  if (readings.length === 0) throw new MissingField('Type what the meter shows across the diode.');
  const forward = forwardPoints(meter, readings);
  const across = hasReversePoint(like) ? textOf(fields, 'reverse volts') : '';
  if (across === '') return { forward };
  const reading = { volts: voltsOf(across), ohms: ohmsOf(fields, '0 ohms', GUIDE_OHMS[0]!) };
  return { forward, reverse: reversePoint(meter, reading) };
}

function transistorFiguresOf(method: Method, fields: Fields, like: string): object {
  if (method === 'battery') {
    const ohms = ohmsOf(fields, 'collector ohms', GUIDE_COLLECTOR_OHMS);
    const open = textOf(fields, 'open');
    const readings = {
      fed: { volts: voltsOf(needed(fields, 'fed', 'the volts across the collector resistor')), ohms },
      ...(open !== '' && { open: { volts: voltsOf(open), ohms } }),
      baseOhms: ohmsOf(fields, 'base ohms', GUIDE_BASE_OHMS),
    };
    return transistorFigures(meterOf(fields), readings, bjtEntry(like));
  }
  const leakage = textOf(fields, 'leakage');
  return {
    currentGain: gainOf(needed(fields, 'gain', 'the current gain')),
    collectorA: numberOf(needed(fields, 'collector', 'the collector current'), 'A'),
    ...(leakage !== '' && { openBaseA: numberOf(leakage, 'A') }),
  };
}

function meterOf(fields: Fields): Meter {
  return {
    supplyV: voltsOf(needed(fields, 'supply', 'the battery’s own voltage, as the meter shows it')),
    inputOhms: ohmsOf(fields, 'meter', USUAL_METER_OHMS),
  };
}

function roomOf(fields: Fields): { readonly roomC?: number } {
  const text = textOf(fields, 'room').replace(/\s*°?\s*c$/i, '');
  if (text === '') return {};
  const roomC = Number(text.replace(',', '.').replace('−', '-'));
  if (Number.isFinite(roomC)) return { roomC };
  throw new Refusal('value', `"${inLine(text, 20)}" is no temperature: write °C, such as 21.`);
}

/** Current and voltage of a row; undefined for an empty one. */
function pairOf(fields: Fields, row: string) {
  const [current, voltage] = [textOf(fields, `${row} current`), textOf(fields, `${row} voltage`)];
  if (current === '' && voltage === '') return undefined;
  if (current === '' || voltage === '') throw new MissingField('Each point needs a current and a voltage.');
  return { currentA: numberOf(current, 'A'), voltageV: voltsOf(voltage) };
}

function gainOf(text: string): number {
  const factor = Number(text.replace(',', '.'));
  if (Number.isFinite(factor)) return factor;
  throw new Refusal('value', `"${inLine(text, 20)}" is no current gain: write a number such as 350.`);
}

/** Without its sign, which says only how the leads were held. */
function voltsOf(text: string): number {
  return numberOf(text.replace(/^[-−]\s*/, ''), 'V');
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

function ohmsOf(fields: Fields, name: string, usual: number): number {
  const text = textOf(fields, name);
  return text === '' ? usual : parseValue(text, 'ohms');
}

function needed(fields: Fields, name: string, what: string): string {
  const text = textOf(fields, name);
  if (text === '') throw new MissingField(`Type ${what}.`);
  return text;
}

function textOf(fields: Fields, name: string): string {
  return (fields[name] ?? '').trim();
}
