import type { Circuit } from './circuit.ts';
import { type WireProblem, wireProblems } from './circuit-nets.ts';
import type { CircuitProblem } from './circuit-problem.ts';
import { knobProblems, switchProblems } from './control-check.ts';
import { figureProblems } from './figure-check.ts';
import { fittedCircuit } from './fitted-circuit.ts';
import { groupProblems } from './group-check.ts';
import { packageProblems, partProblems } from './part-check.ts';
import { pumpProblems } from './pump-check.ts';
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
    ...pumpProblems(circuit),
    ...allWireProblems(circuit),
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

/** Of the whole circuit, then of what is soldered with each kind of bypass. */
function allWireProblems(circuit: Circuit): readonly CircuitProblem[] {
  const whole = wireProblems(circuit).map((problem) => wireProblemOf(circuit, circuit, problem));
  if (whole.length > 0) return whole;
  return circuit.bypass.kinds.flatMap((bypass) => {
    const fitted = fittedCircuit({ circuit, bypass });
    return wireProblems(fitted).map((problem) => {
      const found = wireProblemOf(circuit, fitted, problem);
      return { ...found, problem: `With ${bypass} bypass: ${found.problem}` };
    });
  });
}

function wireProblemOf(
  circuit: Circuit,
  fitted: Circuit,
  { code, stage, wire, problem, remedy }: WireProblem,
): CircuitProblem {
  const id = fitted.stages[stage]?.id;
  const index = circuit.stages.findIndex((each) => each.id === id);
  const place = index < 0 ? 'stages' : `stages[${index}]${wire < 0 ? '.wires' : `.wires[${wire}]`}`;
  return { code, place, problem, remedy };
}
