import { type Circuit, partsOf } from '../circuits/circuit.ts';
import type { PartJob } from '../circuits/part-job.ts';

type Controls = 'knobs' | 'switches';

/**
 * The knob or switch of another circuit that has the same job, so that both turn together; undefined if there is none. In the
 * same circuit, or another revision of it, it is the one of the same name.
 */
export function pairedControl(
  circuit: Circuit,
  other: Circuit,
  what: Controls,
  name: string,
): string | undefined {
  if (circuit.id === other.id) return other[what].some((each) => each.name === name) ? name : undefined;
  const job = jobOf(circuit, what, name);
  if (job === undefined) return undefined;
  const index = namesOf(circuit, what, job).indexOf(name);
  return namesOf(other, what, job)[index];
}

/** Names of the controls that two circuits have in common, in the order of the first. */
export function pairedControls(circuit: Circuit, other: Circuit): readonly (readonly [string, string])[] {
  return (['knobs', 'switches'] as const).flatMap((what) =>
    circuit[what].flatMap(({ name }) => {
      const paired = pairedControl(circuit, other, what, name);
      return paired === undefined ? [] : [[name, paired] as const];
    }),
  );
}

/** Controls with a job, in the order of the circuit. */
function namesOf(circuit: Circuit, what: Controls, job: PartJob): readonly string[] {
  return circuit[what].map(({ name }) => name).filter((name) => jobOf(circuit, what, name) === job);
}

function jobOf(circuit: Circuit, what: Controls, name: string): PartJob | undefined {
  const control = circuit[what].find((each) => each.name === name);
  return control && partsOf(circuit).get(control.ref)?.part.job;
}
