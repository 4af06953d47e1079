import type { Circuit } from './circuit.ts';
import { wireProblems } from './circuit-nets.ts';
import type { CircuitProblem } from './circuit-problem.ts';
import { knobProblems, switchProblems } from './control-check.ts';
import { figureProblems } from './figure-check.ts';
import { groupProblems } from './group-check.ts';
import { packageProblems, partProblems } from './part-check.ts';
import { bypassProblems, clippingProblems, roleProblems } from './role-check.ts';
import { sizeProblems, stageProblems } from './stage-check.ts';

/**
 * Problems of a circuit whose document has the right shape: unknown names, pins without a wire, controls
 * without parts. If there are none, a build of it can be made into a network and drawn; whether that network
 * can be solved depends on the build.
 */
export function circuitProblems(circuit: Circuit): readonly CircuitProblem[] {
  return [
    ...sizeProblems(circuit),
    ...stageProblems(circuit),
    ...partProblems(circuit),
    ...wireProblems(circuit).map(({ code, stage, wire, problem, remedy }) => ({
      code,
      place: stage < 0 ? 'stages' : `stages[${stage}]${wire < 0 ? '.wires' : `.wires[${wire}]`}`,
      problem,
      remedy,
    })),
    ...packageProblems(circuit),
    ...knobProblems(circuit),
    ...switchProblems(circuit),
    ...bypassProblems(circuit),
    ...clippingProblems(circuit),
    ...roleProblems(circuit),
    ...circuit.figures.flatMap((figure, index) => figureProblems(circuit, figure, `figures[${index}]`)),
    ...groupProblems(circuit),
  ];
}
