import { isRecord } from '../../input/json.ts';
import type { Circuit } from '../circuit.ts';
import type { CircuitProblem } from '../circuit-problem.ts';
import type { ShapeProblem } from '../document-shape.ts';
import { type JoinedCircuit, joinedCircuit } from './joined-circuit.ts';
import { stageListShape } from './stage-document.ts';
import { STAGES } from './stage-library.ts';

type Joined = Extract<JoinedCircuit, { readonly circuit: Circuit }>;

type ReadStageList =
  | {
      readonly circuit: Circuit;
      /** A problem of the circuit, with its place in the list. */
      readonly inList: (problem: CircuitProblem) => CircuitProblem;
      readonly problems?: undefined;
    }
  | { readonly circuit?: undefined; readonly problems: readonly CircuitProblem[] };

/** Whether a document lists stages of the library by id. */
export function isStageList(json: unknown): boolean {
  return (
    isRecord(json) &&
    Array.isArray(json['stages']) &&
    json['stages'].some((each: unknown) => isRecord(each) && typeof each['stage'] === 'string')
  );
}

/** The circuit of a list of stages; it is still to be checked. */
export function readStageList(json: unknown): ReadStageList {
  const problems: ShapeProblem[] = [];
  const list = stageListShape.read(json, '', problems);
  if (!list || problems.length > 0) return { problems };
  const joined = joinedCircuit(list, STAGES);
  if (!joined.circuit) return joined;
  return { circuit: joined.circuit, inList: (problem) => inList(problem, joined) };
}

/** A sentence that names the place names the same one. */
function inList(problem: CircuitProblem, joined: Joined): CircuitProblem {
  const place = listPlace(problem.place, joined);
  return { ...problem, place, problem: problem.problem.replaceAll(problem.place, place) };
}

/** "stages[2].parts.R4.value" of the circuit is "stages[1].parts.R1" of the list: parts have other designators there. */
function listPlace(place: string, { indexOfStage, refsOfStage }: Joined): string {
  const [, amplifier] = /^packages\.([A-Z]+[0-9]+)/u.exec(place) ?? [];
  if (amplifier !== undefined) return packagePlace(amplifier, refsOfStage);
  const [, index, rest = ''] = /^stages\[(\d+)\](.*)$/u.exec(place) ?? [];
  const own = index === undefined ? undefined : indexOfStage[Number(index)];
  if (own === undefined || own < 0) return 'stages';
  const stage = `stages[${own}]`;
  if (/\.title$/u.test(rest)) return `${stage}.title`;
  const [, ref = '', key] = /^\.parts\.([A-Z]+[0-9]+[A-Z]?)\.(value|type|job)$/u.exec(rest) ?? [];
  const listed = ownRef(ref, refsOfStage[own]);
  return listed === undefined ? stage : `${stage}.${key === 'job' ? 'jobs' : 'parts'}.${listed}`;
}

/** The first stage with a half of the package. */
function packagePlace(ref: string, refsOfStage: Joined['refsOfStage']): string {
  const own = refsOfStage.findIndex((refs) => ownRef(ref, refs) !== undefined);
  return own < 0 ? 'stages' : `stages[${own}].parts.${ownRef(ref, refsOfStage[own])}`;
}

function ownRef(ref: string, refs: ReadonlyMap<string, string> | undefined): string | undefined {
  return [...(refs ?? [])].find(([, renamed]) => renamed === ref)?.[0];
}
