import type { Circuit, Stage } from './circuit.ts';
import type { PartSpec } from './part-spec.ts';

/**
 * Whether two documents of a circuit differ in words and drawing alone: titles, roles, jobs, figures, places of symbols and
 * ports. All that a build names (parts, knobs, switches, groups, nets) and all that its network is made of is the same.
 */
export function isSameButWords(one: Circuit, other: Circuit): boolean {
  return one === other || (one.id === other.id && wordlessText(one) === wordlessText(other));
}

/** As text, so that a field that is new in the documents counts until it is named here. */
function wordlessText(circuit: Circuit): string {
  const { revision: _revision, title: _title, figures: _figures, stages, packages, ...rest } = circuit;
  const types = Object.entries(packages).map(([ref, { role: _role, ...kept }]) => [ref, kept]);
  return JSON.stringify({ ...sorted(rest), types, stages: stages.map(wordlessStage) });
}

function wordlessStage({ title: _title, ports, parts, ...rest }: Stage): object {
  const described = Object.entries(parts).map(([ref, part]) => [ref, wordlessPart(part)]);
  return { ...sorted(rest), ports: Object.keys(ports), parts: described };
}

function wordlessPart(part: PartSpec): object {
  const { role: _role, job: _job, at: _at, turn: _turn, flip: _flip, labels: _labels, ...rest } = part;
  return sorted(rest);
}

/** The order of keys says nothing here. */
function sorted(fields: object): object {
  return Object.fromEntries(Object.entries(fields).sort(([one], [other]) => (one < other ? -1 : 1)));
}
