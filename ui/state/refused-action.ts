import { aliasProblem } from '../../engine/builds/alias.ts';
import { buildParts, type PartSetting } from '../../engine/builds/build.ts';
import { canonicalSetting } from '../../engine/builds/canonical-setting.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { Unsolvable } from '../swap/swap-messages.ts';
import type { Action, BenchState } from './bench-state.ts';
import { allPedals } from './chains.ts';
import { partStep } from './chosen-parts.ts';
import { guitarAhead, loadBehind } from './played-network.ts';
import { reduce, withinRange } from './reduce.ts';

/** An action with its setting in standard form. @throws A refusal if the setting is not valid. */
export function canonicalAction(state: BenchState, action: Action): Action {
  const { builds } = state;
  if (action.type === 'alias') return checkedAlias(state, action.ref, action.alias);
  if (action.type === 'candidate') return withStep(state, action);
  if (action.type !== 'setPart') return action;
  const { ref, slot, setting, others } = action;
  const parts = new Map(buildParts(builds[slot].circuit).map((part) => [part.ref, part]));
  const canonical = (at: string, wanted: PartSetting) => {
    const part = parts.get(at);
    return part ? canonicalSetting(part, wanted) : wanted;
  };
  try {
    const checked = Object.entries(others ?? {}).map(([at, wanted]) => [at, canonical(at, wanted)] as const);
    return {
      ...action,
      setting: canonical(ref, setting),
      ...(others && { others: Object.fromEntries(checked) }),
    };
  } catch (error) {
    if (error instanceof Refusal) return { type: 'refuse', ref, slot, message: error.message };
    throw error;
  }
}

/** Without candidates a step goes to the next value or type of the chosen part in B. */
function withStep(state: BenchState, action: Extract<Action, { type: 'candidate' }>): Action {
  if (state.ear.candidates?.at !== undefined) return action;
  const change = partStep({ ...state, heard: 'b' }, action.step);
  return { type: 'candidate', step: action.step, ...(change && { change }) };
}

/** An invalid name of a part is a refusal: every pedal of the circuit has to bear it. */
function checkedAlias(state: BenchState, ref: string, alias: string): Action {
  const { circuit } = state.builds[state.heard];
  const problem = allPedals(state)
    .filter(({ pedal }) => isSameCircuit(pedal.build.circuit, circuit))
    .map(({ pedal }) => (alias.trim() === '' ? undefined : aliasProblem(pedal.build, ref, alias.trim())))
    .find((found) => found !== undefined);
  if (problem === undefined) return { type: 'alias', ref, alias };
  return { type: 'refuse', ref, slot: undefined, message: problem };
}

/** The old state, with the reason of a refusal. */
export function refused(before: BenchState, action: Action, { slot, message }: Unsolvable): BenchState {
  const ref = 'ref' in action ? action.ref : '';
  const isAtPart = ref !== '' && 'slot' in action && action.slot === slot;
  const text = isAtPart ? message : `${leadOf(before, action, slot)} ${message}`;
  // The source has changed already, so the guitar before the pedals is switched off.
  const kept =
    action.type === 'source'
      ? { ...before, source: action.source, guitar: { ...before.guitar, isOn: false } }
      : before;
  return reduce(kept, { type: 'refuse', ref, slot, message: text });
}

/** The settings of the bench on which it depends whether a build can be played. */
function conditionsOf(state: BenchState): string {
  const guitar = guitarAhead(state) ? ', with pickup and cable before it' : '';
  const after = loadBehind(state) ? ', with a cable after it' : '';
  return `at ${state.temperatureC} °C${state.isBypassed ? ', bypassed' : ''}${guitar}${after}`;
}

/** The refused request, in words before the reason. */
function leadOf(before: BenchState, action: Action, slot: Slot): string {
  const letter = slot.toUpperCase();
  switch (action.type) {
    case 'temperature':
      return `At ${withinRange(action.celsius, 0)} °C build ${letter} cannot be played.`;
    case 'bypass':
      return `Build ${letter} cannot be played ${action.isBypassed ? 'bypassed' : 'with the effect on'}.`;
    case 'after':
      return `Build ${letter} cannot be played with ${action.after.isOn ? 'this cable and input after it' : 'its output left open'}.`;
    case 'guitar':
    case 'source':
      return `Build ${letter} cannot be played with pickup and cable before it.`;
    case 'undo':
    case 'redo':
      return `Nothing was changed: build ${letter} cannot be played ${conditionsOf(before)}.`;
    default:
      return `Build ${letter} cannot be played like that.`;
  }
}
