import { oneLine } from '../../engine/input/shown-text.ts';
import { TEMPERATURE_RANGE_C } from '../../engine/network/temperature.ts';
import type { Action, BenchState, View } from './bench-state.ts';
import {
  atCandidate,
  endedCandidates,
  judgedCandidate,
  pickedCandidate,
  startedCandidates,
} from './candidate-actions.ts';
import { steppedIndex } from './candidate-run.ts';
import { afterChainAction, type ChainAction, isChainAction } from './chain-actions.ts';
import { earAfterEdit, withSides } from './changed-sides.ts';
import type { EarState } from './ear-state.ts';
import { editedBuilds } from './edited-builds.ts';
import { followingPart } from './followed-part.ts';
import { withCalibration } from './kept-calibrations.ts';
import { withOwnNames } from './own-names.ts';
import { reachAt } from './reach.ts';

/** The state after an action. */
export function reduce(state: BenchState, action: Action): BenchState {
  return followingPart(state, afterAction(state, action));
}

function afterAction(state: BenchState, action: Action): BenchState {
  switch (action.type) {
    case 'hear':
      return { ...state, heard: action.slot, ear: { ...state.ear, difference: undefined } };
    case 'select':
      return {
        ...state,
        selected: action.ref,
        reach: reachAt(state, action.ref),
        refusal: undefined,
      };
    case 'reach':
      return { ...state, reach: action.reach };
    case 'series':
      return { ...state, series: action.series };
    case 'drawer':
      return { ...state, drawer: action.drawer };
    case 'temperature':
      return {
        ...state,
        temperatureC: withinRange(action.celsius, state.temperatureC),
        refusal: withoutPlace(state.refusal),
      };
    case 'link':
      return { ...state, isLinked: action.isLinked };
    case 'listen':
      return { ...state, isListening: action.isListening };
    case 'source':
      return { ...state, source: action.source };
    case 'bypass':
      return { ...state, isBypassed: action.isBypassed };
    case 'speaker':
      return { ...state, speaker: action.speaker, hasStandIn: true };
    case 'guitar':
      return { ...state, guitar: action.guitar };
    case 'after':
      return { ...state, after: action.after };
    case 'probe':
      return { ...state, probe: action.net };
    case 'output':
      return { ...state, outputDb: action.db };
    case 'standIn':
      return { ...state, hasStandIn: action.hasStandIn };
    case 'rate':
      return { ...state, rateChoice: action.choice };
    case 'hearNoise':
      return { ...state, hearsNoise: action.isHeard };
    case 'match':
      return { ...state, match: action.match };
    case 'calibrate':
      return { ...state, calibration: action.calibration, refusal: withoutPlace(state.refusal) };
    case 'keepCalibration':
      return {
        ...state,
        calibration: { volts: action.kept.volts, isMeasured: true },
        calibrations: withCalibration(state.calibrations, action.kept),
      };
    case 'keepMeasured':
      return { ...state, measured: action.parts };
    case 'view':
      return { ...state, view: action.view, ear: leftView(state, action.view) };
    case 'candidate':
      return steppedCandidate(state, action);
    case 'startCandidates':
      return startedCandidates(state, action);
    case 'pickCandidate':
      return pickedCandidate(state, action.index);
    case 'endCandidates':
      return endedCandidates(state, action.keeps);
    case 'verdict':
      return judgedCandidate(state, action.verdict);
    case 'ear':
      return { ...state, ear: { ...state.ear, ...action.change } };
    case 'refuse':
      return {
        ...state,
        refusal: { ref: action.ref, slot: action.slot, message: oneLine(action.message) },
      };
    case 'dismiss':
      return { ...state, refusal: undefined };
    case 'dropSetAside':
      return { ...state, setAside: undefined };
    case 'alias':
    case 'groups':
      return withSides(state, withOwnNames(state, state.heard, action));
    default: {
      if (isChainAction(action)) return withChain(state, action);
      const builds = editedBuilds(state, action);
      if (builds === state.builds) return state;
      const after = { builds, places: state.places };
      const ear = BESIDE_CANDIDATES.has(action.type) ? state.ear : earAfterEdit(state, after);
      return { ...withSides(state, after), ear };
    }
  }
}

function withChain(state: BenchState, action: ChainAction): BenchState {
  const sides = { builds: state.builds, places: state.places };
  const after = afterChainAction(sides, action);
  if (after === sides) return state;
  // A look changes nothing that is heard: candidates go on.
  const ear = action.type === 'look' ? state.ear : earAfterEdit(state, after);
  return { ...withSides(state, after), ear };
}

/** The difference plays only in the view that shows it: another view ends it. */
function leftView({ view, ear }: BenchState, next: View): EarState {
  return next === view ? ear : { ...ear, difference: undefined };
}

function steppedCandidate(
  state: BenchState,
  { step, change }: Extract<Action, { readonly type: 'candidate' }>,
): BenchState {
  const run = state.ear.candidates;
  if (run?.at !== undefined) return atCandidate(state, run, steppedIndex(run, step));
  return change ? { ...reduce(state, change), heard: 'b' } : state;
}

/** What is left of a refusal once a value of the whole bench was taken: one that stands at a part stays there. */
function withoutPlace(refusal: BenchState['refusal']): BenchState['refusal'] {
  return refusal?.ref === '' ? undefined : refusal;
}

/** The nearest allowed temperature, °C; `otherwise` if the number is NaN. */
export function withinRange(celsius: number, otherwise: number): number {
  if (!Number.isFinite(celsius)) return otherwise;
  return Math.min(TEMPERATURE_RANGE_C.highest, Math.max(TEMPERATURE_RANGE_C.lowest, celsius));
}

/** Edits of build B after which a candidate is still in it. */
const BESIDE_CANDIDATES: ReadonlySet<Action['type']> = new Set([
  'turnKnob',
  'throwSwitch',
  'setBypass',
  'rename',
]);
