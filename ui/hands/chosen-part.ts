import { buildParts } from '../../engine/builds/build.ts';
import { netsOf } from '../../engine/builds/network-of-build.ts';
import { circuitNets } from '../../engine/circuits/circuit-nets.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import type { BenchState } from '../state/bench-state.ts';
import { partStep } from '../state/chosen-parts.ts';
import type { HandTargets } from './hand-targets.ts';

type Bench = Pick<HandTargets, 'store' | 'act'>;

/** Steps value or type of the chosen part in the build that plays. */
export function stepChosen({ store, act }: Bench, steps: number): void {
  // A held key continues from the last step, even if that is not audible yet.
  const change = partStep(store.wanted, steps);
  if (change) act(change);
}

/** Chooses the next part of the build that plays; after the last the first. */
export function walkParts({ store, act }: Bench, steps: number): void {
  const { heard, builds, selected } = store.state;
  const refs = buildParts(fittedCircuit(builds[heard])).map(({ ref }) => ref);
  const next = refs[(refs.indexOf(selected) + steps + refs.length) % refs.length];
  if (next !== undefined) act({ type: 'select', ref: next });
}

/** The net of the chosen part's next pin after the probed one; after the last the output again. */
export function nextNet({ builds, heard, selected, probe }: BenchState): string | undefined {
  const build = builds[heard];
  const circuit = fittedCircuit(build);
  const isOfPart = (pin: string) => {
    const ref = pin.slice(0, pin.indexOf('.'));
    const spec = circuit.stages.map(({ parts }) => parts[ref]).find((each) => each !== undefined);
    return ref === selected || (spec?.kind === 'opamp' && spec.package === selected);
  };
  const netOf = netsOf(build);
  const pins = [...circuitNets(circuit).netOf.keys()].filter((pin) => pin.includes('.') && isOfPart(pin));
  const nets = [...new Set(pins.map(netOf))];
  return nets[probe === undefined ? 0 : nets.indexOf(probe) + 1];
}
