import type { BundledCircuits } from '../engine/circuits/bundled-circuits.ts';
import { SLOTS } from '../worklets/bench-messages.ts';
import type { AudioSession } from './audio/audio-session.ts';
import type { ProblemCause } from './audio/problems.ts';
import type { BenchAnalysis } from './bench-analysis.ts';
import type { BenchKeeper } from './bench-keeper.ts';
import { LETTER } from './components/bench-element.ts';
import type { FirstSteps } from './first-steps.ts';
import { keepingNotices } from './keeping-notices.ts';
import type { NewerCircuitNotice } from './newer-circuit-notice.ts';
import { dismissal, type Notice } from './notice.ts';
import type { SolverWatch } from './solver-watch.ts';
import type { Action } from './state/bench-state.ts';
import type { BenchStore } from './state/bench-store.ts';
import { isToldOnCard } from './state/slots-of-part.ts';

/** Everything that has something to tell. */
interface Tellers {
  readonly store: BenchStore;
  readonly session: AudioSession;
  readonly analysis: BenchAnalysis;
  readonly solver: SolverWatch;
  readonly keeper: BenchKeeper;
  readonly newer: NewerCircuitNotice;
  readonly firstSteps: FirstSteps;
  readonly act: (action: Action) => void;
  readonly requestUpdate: () => void;
}

/** What the bench itself knows. */
interface Told {
  /** The card of the chosen part is in sight, which tells itself what was refused about it. */
  readonly showsCard: boolean;
  readonly isPreparing: boolean;
  readonly bundled: BundledCircuits;
}

/** What is told above the bench. */
export class BenchNotices {
  readonly #tellers: Tellers;

  constructor(tellers: Tellers) {
    this.#tellers = tellers;
  }

  /** What was just refused comes first. */
  all({ showsCard, isPreparing, bundled }: Told): readonly Notice[] {
    const { store, analysis, keeper, newer, firstSteps, act, requestUpdate } = this.#tellers;
    const bench = store.state;
    const { refusal, view, probe } = bench;
    const { trouble } = analysis;
    return [
      ...(refusal && !(showsCard && isToldOnCard(bench))
        ? [urgent(refusal.message, () => store.act({ type: 'dismiss' }))]
        : []),
      ...this.problems(),
      ...keepingNotices(bench, keeper, act),
      ...(trouble === undefined ? [] : [warning(trouble)]),
      ...analysis.allWarnings.map(warning),
      ...this.#solverWarnings(),
      ...(isPreparing ? [note('Preparing the circuits…')] : []),
      ...(view === 'ear' && probe !== undefined ? [this.#probed(probe)] : []),
      ...newer.notices(bench.builds, bundled, act, requestUpdate),
      ...firstSteps.notices,
    ];
  }

  /** In a blind test: nothing that says who is heard. */
  blind(): readonly Notice[] {
    return [...this.problems(), ...this.#solverWarnings()];
  }

  problems(): readonly Notice[] {
    const { session } = this.#tellers;
    const problems = Object.entries(session.state.problems) as [ProblemCause, string][];
    return problems.map(([cause, text]) => urgent(text, () => session.report(cause, undefined)));
  }

  #solverWarnings(): readonly Notice[] {
    return SLOTS.flatMap((slot) => {
      const text = this.#tellers.solver.warnings[slot];
      return text === undefined ? [] : [warning(`${LETTER[slot]}: ${text}`)];
    });
  }

  /** In the view “By ear” pedals are compared, so an active probe is mentioned. */
  #probed(net: string): Notice {
    const back = () => this.#tellers.store.act({ type: 'probe', net: undefined });
    return note(`You hear net ${net}, not the output.`, [{ title: 'Back to the output', act: back }]);
  }
}

function urgent(text: string, dismiss: () => void): Notice {
  return { text, kind: 'problem', isUrgent: true, ways: [dismissal(dismiss)] };
}

function warning(text: string): Notice {
  return { text, kind: 'problem' };
}

function note(text: string, ways: Notice['ways'] = []): Notice {
  return { text, kind: 'note', ways };
}
