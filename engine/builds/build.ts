import type { BypassKind, Circuit } from '../circuits/circuit.ts';
import type { PartGroup } from '../circuits/part-group.ts';
import type { Fit, PartSpec } from '../circuits/part-spec.ts';
import type { CapacitorKind } from '../parts/capacitor-kinds.ts';
import type { CapacitanceEnd } from '../parts/diode-capacitance.ts';
import type { Piece } from '../parts/piece.ts';
import type { PotLaw } from '../units/taper.ts';
import type { PartsSet } from './parts-set.ts';

/** What is soldered at one reference designator. Values are IEC 60062 codes, as on a parts list. */
export interface PartSetting {
  readonly value?: string;
  readonly type?: string;
  /** Number of equal parts in series; diodes only. */
  readonly count?: number;
  readonly law?: PotLaw;
  /** What a capacitor is made of; absent for an ideal one. */
  readonly dielectric?: CapacitorKind;
  /** Where in its range the capacitance of a diode is, if sheets know no more than a range; absent for the usual one. */
  readonly capacitance?: CapacitanceEnd;
  /** Name of the measured resistor, capacitor or potentiometer that the value is of: "10k no. 3". A measured type names itself. */
  readonly piece?: string;
  /** Absent where the part is fitted. */
  readonly fit?: Fit;
  /** Value or type of a second part soldered in parallel. */
  readonly piggyback?: string;
}

/** A build as it came onto the bench, for which its title and notes were written. */
export interface StartingPoint {
  readonly title: string;
  readonly parts: Build['parts'];
  readonly switches: Build['switches'];
  readonly bypass: BypassKind;
}

/** One pedal as it would be soldered: the setting at every reference designator, and the positions of the controls. */
export interface Build {
  readonly circuit: Circuit;
  /** As it was given; if it is still the title of the start, `buildTitle` adds the swaps since. */
  readonly title: string;
  /** Notes of the start; `buildNotes` says so after a swap. */
  readonly notes: string;
  readonly start: StartingPoint;
  /** By reference designator; the amplifiers of a package share its designator. */
  readonly parts: Readonly<Record<string, PartSetting>>;
  /** Rotation by knob name, 0 (counter-clockwise) to 1. */
  readonly knobs: Readonly<Record<string, number>>;
  /** Position by switch name. */
  readonly switches: Readonly<Record<string, string>>;
  readonly bypass: BypassKind;
  /** The builder's own names of parts by reference designator, as on their board; absent if there are none. */
  readonly aliases?: Readonly<Record<string, string>>;
  /** Groups that the builder has made; absent if there are none. */
  readonly groups?: readonly PartGroup[];
  /** Pieces that the builder has measured, also those that stand nowhere now; absent if there are none. */
  readonly pieces?: readonly Piece[];
  /** Which of all possible sets of its parts is soldered; absent if every part is exactly what is printed on it. */
  readonly partsSet?: PartsSet;
}

/** A part that a build can change: every part of a circuit except switches; a package counts once. */
export interface BuildPart {
  readonly ref: string;
  readonly kind: Exclude<PartSpec['kind'], 'switch'>;
  readonly role: string;
  readonly stageId: string;
  readonly stageTitle: string;
  readonly polarised: boolean;
}

/** The parts of a circuit's builds in the order of its stages. */
export function buildParts(circuit: Circuit): readonly BuildPart[] {
  const parts = new Map<string, BuildPart>();
  for (const { id, title, parts: described } of circuit.stages) {
    for (const [ref, part] of Object.entries(described)) {
      if (part.kind === 'switch') continue;
      const place = {
        stageId: id,
        stageTitle: title,
        polarised: part.kind === 'capacitor' && part.polarised,
      };
      if (part.kind !== 'opamp') {
        parts.set(ref, { ref, kind: part.kind, role: part.role, ...place });
      } else if (!parts.has(part.package)) {
        const role = circuit.packages[part.package]?.role ?? part.role;
        parts.set(part.package, { ref: part.package, kind: 'opamp', role, ...place });
      }
    }
  }
  return [...parts.values()];
}

/** The build with all starting values of a circuit. */
export function startingBuild(circuit: Circuit): Build {
  const parts: Record<string, PartSetting> = {};
  for (const { parts: described } of circuit.stages) {
    for (const [ref, part] of Object.entries(described)) {
      const setting = startingSetting(part);
      if (setting) parts[ref] = setting;
    }
  }
  for (const [ref, { type }] of Object.entries(circuit.packages)) parts[ref] = { type };
  const inOrder = buildParts(circuit).map(({ ref }) => [ref, parts[ref]!] as const);
  const start: StartingPoint = {
    title: circuit.title,
    parts: Object.fromEntries(inOrder),
    switches: Object.fromEntries(circuit.switches.map(({ name, start }) => [name, start])),
    bypass: circuit.bypass.kinds[0]!,
  };
  const knobs = Object.fromEntries(circuit.knobs.map(({ name, start }) => [name, start]));
  return { circuit, notes: '', knobs, ...start, start };
}

/** A build as a start: later swaps are counted from it. */
export function startingPoint({ title, parts, switches, bypass }: StartingPoint): StartingPoint {
  return { title, parts, switches, bypass };
}

function startingSetting(part: PartSpec): PartSetting | undefined {
  if (part.kind === 'opamp' || part.kind === 'switch') return undefined;
  const fit = part.fit === undefined ? {} : { fit: part.fit };
  if (part.kind === 'pot') return { value: part.value, law: part.law, ...fit };
  if (part.kind === 'diode' && part.count !== 1) return { type: part.type, count: part.count, ...fit };
  return 'value' in part ? { value: part.value, ...fit } : { type: part.type, ...fit };
}
