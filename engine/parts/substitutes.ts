import { NOMINAL_TEMPERATURE_K } from '../devices/physics.ts';
import { quantityText } from '../units/quantity-text.ts';
import { CATALOGUE } from './catalogue.ts';
import type {
  BjtEntry,
  CatalogueEntry,
  ConverterEntry,
  DatasheetPoint,
  DiodeEntry,
  FetEntry,
  OpampEntry,
  PartKind,
} from './catalogue-entry.ts';
import { typeForwardVoltage } from './diode-curve.ts';
import { footprintChange } from './footprint-change.ts';
import { catalogueTypeOf } from './part-types.ts';
import { modelFigure } from './type-figure.ts';

/** A type that can stand in for another one. */
export interface Substitute {
  readonly type: string;
  /** The figures that are alike, and what the legs ask for, in a sentence without a stop. */
  readonly reason: string;
}

const MOST = 3;
/** Currents at which two diodes have to have nearly one voltage, A. */
const DIODE_CURRENTS_A = [1e-4, 1e-3];
/** Largest differences, as shares; about what pieces of one type differ by. Common practice, no source. */
const SHARE = { forwardV: 0.06, currentGain: 0.35, zeroBiasDrainA: 0.5, cutoffV: 0.25, speed: 1 } as const;
/** Families in which types differ in more than what is compared here. */
const ONE_OF_A_KIND = ['Zener', 'MOSFET', 'transistor junction'];

/**
 * Types of the catalogue that do the same: of the same kind and family, with figures that differ about as much as pieces of one
 * type do, and limits that are not lower. Nearest first, three at most. Obsolete types and those that are often faked are left
 * out: they are harder to buy than what they would stand for.
 */
export function substitutesFor(kind: PartKind, code: string): readonly Substitute[] {
  const type = catalogueTypeOf(code);
  const own = CATALOGUE.find((entry) => entry.kind === kind && entry.type === type);
  if (own === undefined || ONE_OF_A_KIND.includes(own.family)) return [];
  return CATALOGUE.filter(
    (other) =>
      other !== own && other.kind === kind && other.family === own.family && other.status === 'current',
  )
    .flatMap((other) => {
      const alike = likeness(own, other);
      return alike ? [{ other, ...alike }] : [];
    })
    .sort((one, next) => one.distance - next.distance)
    .slice(0, MOST)
    .map(({ other, figures }) => ({
      type: other.type,
      reason: `${figures}; ${footprintChange(own.type, other.type).action}`,
    }));
}

interface Likeness {
  /** 0 for equal figures, 1 at the limit. */
  readonly distance: number;
  readonly figures: string;
}

function likeness(own: CatalogueEntry, other: CatalogueEntry): Likeness | undefined {
  if (own.kind === 'diode' && other.kind === 'diode') return likeDiodes(own, other);
  if (isBipolar(own) && isBipolar(other)) return likeBipolars(own, other);
  if (own.kind === 'opamp' && other.kind === 'opamp') return likeOpamps(own, other);
  if (own.kind === 'converter' && other.kind === 'converter') return likeConverters(own, other);
  return isJfet(own) && isJfet(other) ? likeJfets(own, other) : undefined;
}

function isBipolar(entry: CatalogueEntry): entry is BjtEntry {
  return entry.kind === 'npn' || entry.kind === 'pnp';
}

function isJfet(entry: CatalogueEntry): entry is FetEntry {
  return entry.kind === 'nJfet' || entry.kind === 'pJfet';
}

function likeDiodes(own: DiodeEntry, other: DiodeEntry): Likeness | undefined {
  const volts = (entry: DiodeEntry, amps: number) => typeForwardVoltage(entry, amps, NOMINAL_TEMPERATURE_K);
  const distance = Math.max(
    ...DIODE_CURRENTS_A.map((amps) => apart(volts(own, amps), volts(other, amps), SHARE.forwardV)),
  );
  if (distance > 1 || !hasLimitOf(own, other)) return undefined;
  const text = (entry: DiodeEntry) => quantityText(volts(entry, 1e-3), 'V');
  return { distance, figures: `${text(other)} at 1 mA (${own.type}: ${text(own)})` };
}

/** Whether the other diode blocks at least as much, as far as both sheets say it. */
function hasLimitOf(own: DiodeEntry, other: DiodeEntry): boolean {
  const blocked = ({ limits }: DiodeEntry) => {
    const point: DatasheetPoint | undefined = limits.find(({ quantity }) => quantity === 'reverseVoltageV');
    return point && (point.minimum ?? point.typical ?? point.maximum);
  };
  const [needed, given] = [blocked(own), blocked(other)];
  return needed === undefined || given === undefined || given >= needed;
}

function likeBipolars(own: BjtEntry, other: BjtEntry): Likeness | undefined {
  if ((own.driver === undefined) !== (other.driver === undefined)) return undefined;
  const gains = [own, other].map(({ data }) => data.forwardBeta) as [number, number];
  const distance = apart(...gains, SHARE.currentGain);
  if (distance > 1) return undefined;
  return { distance, figures: `current gain ${gains[1].toFixed(0)} (${own.type}: ${gains[0].toFixed(0)})` };
}

function likeJfets(own: FetEntry, other: FetEntry): Likeness | undefined {
  const figure = (entry: FetEntry, quantity: 'zeroBiasDrainA' | 'gateCutoffV') =>
    Math.abs(modelFigure(entry, { quantity, at: {} }) ?? 0);
  const distance = Math.max(
    apart(figure(own, 'zeroBiasDrainA'), figure(other, 'zeroBiasDrainA'), SHARE.zeroBiasDrainA),
    apart(figure(own, 'gateCutoffV'), figure(other, 'gateCutoffV'), SHARE.cutoffV),
  );
  if (distance > 1) return undefined;
  const text = (entry: FetEntry) => quantityText(figure(entry, 'gateCutoffV'), 'V');
  return { distance, figures: `cut-off ${text(other)} (${own.type}: ${text(own)})` };
}

function likeOpamps(own: OpampEntry, other: OpampEntry): Likeness | undefined {
  if (own.amplifiersPerPackage !== other.amplifiersPerPackage) return undefined;
  if (other.maxSupplyV < own.maxSupplyV) return undefined;
  if ((own.inputClamp === undefined) !== (other.inputClamp === undefined)) return undefined;
  if ((own.classBOutput === undefined) !== (other.classBOutput === undefined)) return undefined;
  const distance = Math.max(
    apart(own.data.gainBandwidthHz, other.data.gainBandwidthHz, SHARE.speed),
    apart(own.data.slewVPerS, other.data.slewVPerS, SHARE.speed),
  );
  if (distance > 1) return undefined;
  const text = ({ data }: OpampEntry) =>
    `${quantityText(data.gainBandwidthHz, 'Hz')}, ${(data.slewVPerS / 1e6).toFixed(1)} V/µs`;
  return { distance, figures: `${text(other)} (${own.type}: ${text(own)})` };
}

function likeConverters(own: ConverterEntry, other: ConverterEntry): Likeness | undefined {
  if (other.absoluteMaxSupplyV < own.absoluteMaxSupplyV || other.maxSupplyV < own.maxSupplyV)
    return undefined;
  const distance = apart(own.outputOhms, other.outputOhms, SHARE.speed);
  if (distance > 1) return undefined;
  const text = ({ outputOhms, maxSupplyV }: ConverterEntry) =>
    `${quantityText(outputOhms, 'Ω')}, up to ${maxSupplyV} V`;
  return { distance, figures: `${text(other)} (${own.type}: ${text(own)})` };
}

/** By how much two figures differ, 1 where their ratio is 1 + share. */
function apart(one: number, other: number, share: number): number {
  return Math.abs(Math.log(one / other)) / Math.log1p(share);
}
