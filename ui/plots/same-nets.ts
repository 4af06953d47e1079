import { chainWith, LONE, unitAt } from '../../engine/builds/chain.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import type { Subject } from './plot-analysis.ts';

/** Whether results of both are of the same nets: the probed one, and those of the same circuits in the same order. */
export function hasSameNets(one: Subject, other: Subject): boolean {
  const unit = ({ chain = LONE }: Subject) => unitAt(chain);
  return one.probe === other.probe && unit(one) === unit(other) && areSameCircuits(one, other);
}

function areSameCircuits(one: Subject, other: Subject): boolean {
  const pedals = ({ build, chain = LONE }: Subject) => chainWith(build, chain).pedals;
  const [ours, theirs] = [pedals(one), pedals(other)];
  return (
    ours.length === theirs.length &&
    ours.every(({ build }, index) => isSameCircuit(build.circuit, theirs[index]!.build.circuit))
  );
}
