import type { BenchState } from '../ui/state/bench-state.ts';
import { BenchStore } from '../ui/state/bench-store.ts';
import { startingBench } from '../ui/state/starting-state.ts';

/** The bench after the page was opened and its circuits were prepared. */
export function startedStore(): BenchStore {
  const { state, remedies } = startingBench('guitar-fifths');
  const store = new BenchStore(state, undefined, remedies);
  store.follow();
  return store;
}

export function startedState(): BenchState {
  return startedStore().state;
}
