import { isRecord } from '../../input/json.ts';
import type { Circuit } from '../circuit.ts';
import type { CircuitProblem } from '../circuit-problem.ts';
import type { ShapeProblem } from '../document-shape.ts';
import { joinedCircuit } from './joined-circuit.ts';
import { stageListShape } from './stage-document.ts';
import { STAGES } from './stage-library.ts';

type ReadStageList =
  | {
      readonly circuit: Circuit;
      /** Place in the list for a place in the circuit. */
      readonly placeInList: (place: string) => string;
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
  return { circuit: joined.circuit, placeInList: (place) => listPlace(place, joined.indexOfStage) };
}

/** "stages[2].parts.R4" of the circuit is "stages[1]" of the list: parts have other designators there. */
function listPlace(place: string, indexOfStage: readonly number[]): string {
  const [, index, rest = ''] = /^stages\[(\d+)\](.*)$/u.exec(place) ?? [];
  const own = index === undefined ? undefined : indexOfStage[Number(index)];
  if (own === undefined || own < 0) return 'stages';
  return /\.title$/u.test(rest) ? `stages[${own}].title` : `stages[${own}]`;
}
