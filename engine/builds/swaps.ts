import { type Build, buildParts, circuitOf } from './build.ts';
import { settingText } from './part-setting.ts';

/** One difference between two builds of a circuit. */
export interface Swap {
  /** Reference designator; a knob or switch has that of its part. */
  readonly ref: string;
  readonly what: 'part' | 'knob' | 'switch' | 'bypass';
  /** Name of the knob or switch, empty for a part. */
  readonly name: string;
  readonly before: string;
  readonly after: string;
}

/** What is different in `after`, in the order of the circuit. Builds of two circuits have no common parts: none. */
export function swapsBetween(before: Build, after: Build): readonly Swap[] {
  if (before.circuit !== after.circuit) return [];
  const circuit = circuitOf(before);
  const parts = buildParts(circuit).map(({ ref }): Swap => {
    const [from, to] = [before, after].map((build) => settingText(build.parts[ref] ?? {}));
    return { ref, what: 'part', name: '', before: from ?? '', after: to ?? '' };
  });
  const knobs = circuit.knobs.map(({ ref, name }): Swap => {
    return {
      ref,
      what: 'knob',
      name,
      before: clockText(before.knobs[name] ?? 0),
      after: clockText(after.knobs[name] ?? 0),
    };
  });
  const switches = circuit.switches.map(({ ref, name }): Swap => {
    return {
      ref,
      what: 'switch',
      name,
      before: before.switches[name] ?? '',
      after: after.switches[name] ?? '',
    };
  });
  const bypass: Swap = {
    ref: '',
    what: 'bypass',
    name: 'bypass',
    before: before.bypass,
    after: after.bypass,
  };
  return [...parts, ...knobs, ...switches, bypass].filter((swap) => swap.before !== swap.after);
}

/** Rotation as an hour of a clock face, 7:00 at 0 to 5:00 at 1 over 300 degrees. */
export function clockText(rotation: number): string {
  const minutes = Math.round((7 * 60 + rotation * 600) / 5) * 5;
  const hour = Math.floor(minutes / 60) % 12 || 12;
  return `${hour}:${String(minutes % 60).padStart(2, '0')}`;
}
