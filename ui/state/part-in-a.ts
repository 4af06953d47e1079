import { counterpartOf } from '../../engine/builds/part-pairs.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import type { BenchState } from './bench-state.ts';

/**
 * The chosen part as build A has it: candidates play in place of a part of A, but the part is chosen in the build that is heard.
 * In another circuit the same designator is another part, so it is the one with the same job; undefined if A has none.
 */
export function selectedInA({
  builds: { a, b },
  heard,
  selected,
}: Pick<BenchState, 'builds' | 'heard' | 'selected'>): string | undefined {
  const isOwn = heard === 'a' || isSameCircuit(a.circuit, b.circuit);
  const ref = isOwn ? selected : counterpartOf(b, selected, a);
  return ref !== undefined && ref in a.parts ? ref : undefined;
}
