import { diodeDataAt } from '../devices/diode.ts';
import { forwardVoltage } from './diode-curve.ts';
import { footprintOf } from './footprint-change.ts';
import { JUNCTION_KINDS, type JunctionKind, junctionKind } from './junction-kind.ts';
import { diodeEntry } from './part-types.ts';
import type { DiodePiece } from './piece.ts';
import { likeTypes, roomK } from './piece-fit.ts';

/** What was measured of a diode that has no name. */
export type UnmarkedDiode = Pick<DiodePiece, 'forward' | 'reverse' | 'roomC'>;

/** The type whose data stand in for what was not measured of a diode that has no name. */
interface NearestType {
  readonly type: string;
  /** What the readings say it is made of; undefined where they do not tell. */
  readonly kind: JunctionKind | undefined;
}

/** A kind less likely than this is not looked at where the readings do not tell. */
const LEAST_SHARE = 0.05;

/**
 * The type whose voltages are nearest to the points, least squares; of types with the same data the first. Among diodes with
 * two legs alone, of the kind that the readings tell: a transistor that is wired as a diode would bring three legs.
 */
export function nearestDiodeType({ forward, reverse, roomC }: UnmarkedDiode): NearestType {
  const measured = { ...(reverse && { reverse }), ...(roomC !== undefined && { roomC }), forward };
  const verdict = junctionKind({ name: '', kind: 'diode', like: '', ...measured });
  const likely = JUNCTION_KINDS.filter((kind) => verdict.shares[kind] >= LEAST_SHARE);
  const kinds = verdict.kind === undefined ? (likely.length > 0 ? likely : JUNCTION_KINDS) : [verdict.kind];
  const temperatureK = roomK({ name: '', kind: 'diode', like: '', ...measured });
  const missOf = (type: string) => {
    const data = diodeDataAt(diodeEntry(type).data, temperatureK);
    return Math.hypot(
      ...forward.map(({ currentA, voltageV }) => forwardVoltage(data, currentA, temperatureK) - voltageV),
    );
  };
  const types = twoLeggedTypes().filter((type) => kinds.some((kind) => kind === diodeEntry(type).family));
  const ranked = types.map((type) => ({ type, miss: missOf(type) }));
  const { type } = ranked.reduce((one, other) => (other.miss < one.miss ? other : one));
  return { type, kind: verdict.kind };
}

/** Diodes that are sold as such, in a case of their own. */
function twoLeggedTypes(): readonly string[] {
  return likeTypes('diode').filter((type) => {
    const { outline, ends } = footprintOf(type)!;
    return ends === undefined && (outline === 'axial' || outline === 'LED');
  });
}
