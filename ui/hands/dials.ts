import {
  type Build,
  type BuildPart,
  buildParts,
  type PartSetting,
  startingBuild,
} from '../../engine/builds/build.ts';
import { withoutPiece, withType, withValue } from '../../engine/builds/part-setting.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import { quantityOf } from '../../engine/circuits/part-values.ts';
import {
  type PreferredSeries,
  preferredValues,
  stepPreferred,
} from '../../engine/units/preferred-numbers.ts';
import { POT_LAWS } from '../../engine/units/taper.ts';
import { formatValue, parseValue } from '../../engine/units/value-code.ts';
import type { Action, BenchState } from '../state/bench-state.ts';
import { partChange } from '../state/chosen-parts.ts';
import { type Offered, offeredAt } from '../state/owned-parts.ts';
import { kindTypes } from '../state/part-steps.ts';
import type { DialTarget } from './hand-bindings.ts';

/** A place that a MIDI knob can turn. */
export interface DialPlace {
  readonly target: DialTarget;
  readonly title: string;
}

/** Everything of a build that a MIDI knob can turn, in the order of the menu. */
export function dialPlaces(
  build: Build,
): readonly (readonly [group: string, places: readonly DialPlace[]])[] {
  const parts = buildParts(fittedCircuit(build)).filter(({ kind }) => kind !== 'supply');
  return [
    ['Knobs', build.circuit.knobs.map(({ name }) => ({ target: `knob ${name}`, title: `${name} knob` }))],
    ['Value or type', parts.map(({ ref, role }) => ({ target: `part ${ref}`, title: `${ref}, ${role}` }))],
    [
      'Taper',
      parts
        .filter(({ kind }) => kind === 'pot')
        .map(({ ref, role }) => ({ target: `taper ${ref}`, title: `taper of ${ref}, ${role}` })),
    ],
  ];
}

/** A place in a few words, also one that no build on the bench has. */
export function dialTitle(target: DialTarget): string {
  const [, kind, name] = /^(\w+) (.*)$/.exec(target)!;
  if (kind === 'knob') return `${name} knob`;
  return kind === 'part' ? `value of ${name}` : `taper of ${name}`;
}

/**
 * What a knob at this position does to the build that plays; undefined where that has no such place, or is there already.
 *
 * @param wanted The state with everything that is on its way. @param amount 0 to 1.
 */
export function dialled(wanted: BenchState, target: DialTarget, amount: number): Action | undefined {
  const { heard: slot, builds, series } = wanted;
  const build = builds[slot];
  const [, kind, name = ''] = /^(\w+) (.*)$/.exec(target) ?? [];
  if (kind === 'knob') {
    if (build.knobs[name] === undefined) return undefined;
    return { type: 'turnKnob', slot, name, rotation: Math.round(amount * 100) / 100 };
  }
  const part = buildParts(fittedCircuit(build)).find(({ ref }) => ref === name);
  const before = build.parts[name];
  if (!part || !before) return undefined;
  const settings =
    kind === 'part'
      ? settingsOf(part, build, before, series, offeredAt(wanted, slot, part))
      : tapersOf(part, before);
  const setting = settings[Math.round(amount * (settings.length - 1))];
  if (!setting || isSame(setting, before)) return undefined;
  return partChange(wanted, slot, name, setting, { isDialled: true });
}

/** What is offered, or types of the catalogue, or values from a tenth to ten times the circuit's own, which is in the middle. */
function settingsOf(
  { kind, ref }: BuildPart,
  build: Build,
  before: PartSetting,
  series: PreferredSeries,
  offered: Offered,
): readonly PartSetting[] {
  const quantity = quantityOf(kind);
  if (offered) return offered.map((word) => (quantity ? withValue(before, word) : withType(before, word)));
  if (!quantity) return kindTypes(kind).map((type) => withType(before, type));
  const start = startingBuild(build.circuit).parts[ref]?.value;
  if (kind === 'supply' || start === undefined) return [];
  const decade = preferredValues(series).length;
  const middle = stepPreferred(parseValue(start, quantity), series, 0);
  return Array.from({ length: 2 * decade + 1 }, (_, step) =>
    withValue(before, formatValue(stepPreferred(middle, series, step - decade), quantity)),
  );
}

function tapersOf({ kind }: BuildPart, before: PartSetting): readonly PartSetting[] {
  return kind === 'pot' ? POT_LAWS.map((law) => ({ ...withoutPiece(before), law })) : [];
}

function isSame(a: PartSetting, b: PartSetting): boolean {
  return a.value === b.value && a.type === b.type && a.law === b.law;
}
