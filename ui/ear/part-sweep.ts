import { buildParts } from '../../engine/builds/build.ts';
import { withValue } from '../../engine/builds/part-setting.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import { quantityOf } from '../../engine/circuits/part-values.ts';
import {
  nearestPreferred,
  type PreferredSeries,
  stepPreferred,
} from '../../engine/units/preferred-numbers.ts';
import { formatValue, parseValue, type ValueQuantity } from '../../engine/units/value-code.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { Action, BenchState } from '../state/bench-state.ts';
import { partChange } from '../state/chosen-parts.ts';
import { type Offered, offeredAt, onlyOwned } from '../state/owned-parts.ts';

/** What is swept: a part's value, or a knob by its name. */
export type SweepSubject =
  | { readonly kind: 'part'; readonly slot: Slot; readonly ref: string; readonly quantity: ValueQuantity }
  | { readonly kind: 'knob'; readonly slot: Slot; readonly name: string };

/** How far a sweep runs, SI units or rotation, and how long it takes one way. */
export interface SweepRange {
  readonly from: number;
  readonly to: number;
  readonly seconds: number;
}

/** Series of the values during a sweep: steps of 1.2 %, each gliding into the next. */
const SWEEP_SERIES: PreferredSeries = 'E192';
/** A sweep covers a decade below and above the present value. */
const DECADES = 1;
const TURN_STEPS = 100;

/** What can be swept for the chosen part in the heard build: its value, and its knob if it has one. */
export function sweepSubjects({ builds, heard: slot, selected: ref }: BenchState): readonly SweepSubject[] {
  const circuit = fittedCircuit(builds[slot]);
  const part = buildParts(circuit).find((each) => each.ref === ref);
  const quantity = part && quantityOf(part.kind);
  const knob = circuit.knobs.find((each) => each.ref === ref);
  return [
    ...(knob ? [{ kind: 'knob', slot, name: knob.name } as const] : []),
    ...(quantity && part.kind !== 'supply' ? [{ kind: 'part', slot, ref, quantity } as const] : []),
  ];
}

/** A decade below and above the present value; the whole range of a knob. */
export function startingRange({ builds }: BenchState, subject: SweepSubject): Omit<SweepRange, 'seconds'> {
  if (subject.kind === 'knob') return { from: 0, to: 1 };
  const { value } = builds[subject.slot].parts[subject.ref] ?? {};
  const now = value === undefined ? 1 : parseValue(value, subject.quantity);
  return { from: now / 10 ** DECADES, to: now * 10 ** DECADES };
}

/**
 * Value of a sweep after a time: from the low end to the high one and back, values in equal ratios, a knob in
 * equal angles.
 */
export function sweepValue(
  subject: SweepSubject,
  { from, to, seconds }: SweepRange,
  elapsed: number,
): number {
  const phase = (elapsed / seconds) % 2;
  const share = phase <= 1 ? phase : 2 - phase;
  return subject.kind === 'knob' ? from + share * (to - from) : from * (to / from) ** share;
}

/**
 * The edit that sets the subject to a value; equal for values closer than one step.
 *
 * @param offered Codes of the only values that are tried; without any the part stays as it is.
 */
export function sweepAction(
  state: BenchState,
  subject: SweepSubject,
  value: number,
  offered?: Offered,
): Action {
  if (subject.kind === 'knob') {
    const rotation = Math.round(value * TURN_STEPS) / TURN_STEPS;
    return { type: 'turnKnob', slot: subject.slot, name: subject.name, rotation, isAlone: true };
  }
  const { slot, ref, quantity } = subject;
  const { fit: _, ...fitted } = state.builds[slot].parts[ref] ?? {};
  const code = offered
    ? nearestOf(offered, value, quantity)
    : formatValue(nearestPreferred(value, SWEEP_SERIES), quantity);
  if (code === undefined) return partChange(state, slot, ref, state.builds[slot].parts[ref] ?? {});
  return partChange(state, slot, ref, withValue(fitted, code), { isDialled: true });
}

/** The nearest by ratio. */
function nearestOf(codes: readonly string[], value: number, quantity: ValueQuantity): string | undefined {
  const off = (code: string) => Math.abs(Math.log(parseValue(code, quantity) / value));
  return [...codes].sort((one, other) => off(one) - off(other))[0];
}

/** What the drawer offers for the swept part; undefined where everything is. */
export function sweepOffer(state: BenchState, subject: SweepSubject): Offered {
  if (subject.kind === 'knob') return undefined;
  const part = buildParts(fittedCircuit(state.builds[subject.slot])).find(({ ref }) => ref === subject.ref);
  return part && offeredAt(state, subject.slot, part);
}

/** The neighbours in a series of a stopped sweep's value. */
export function neighbours(state: BenchState, subject: SweepSubject): readonly Action[] {
  const { builds, series } = state;
  // The sweep has stopped at a value of the drawer.
  if (subject.kind === 'knob' || onlyOwned(state)) return [];
  const { slot, ref, quantity } = subject;
  const { fit: _, ...setting } = builds[slot].parts[ref] ?? {};
  if (setting.value === undefined) return [];
  const now = parseValue(setting.value, quantity);
  const nearest = nearestPreferred(now, series);
  const others = [stepPreferred(nearest, series, -1), nearest, stepPreferred(nearest, series, 1)];
  return others.map((value) =>
    partChange(state, slot, ref, withValue(setting, formatValue(value, quantity)), { isDialled: true }),
  );
}
