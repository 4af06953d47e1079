import { type FootswitchPosition, partsOf } from '../circuits/circuit.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import type { SwitchSpec } from '../circuits/part-spec.ts';
import type { NodeName } from '../devices/node.ts';
import { ofPart, ofPiece } from '../devices/origin.ts';
import type { Network, Resistor } from '../network/network.ts';
import { withBiasedCapacitors } from './biased-capacitors.ts';
import type { Build } from './build.ts';
import { lugLeakage, withLeakingCapacitors } from './leakage.ts';
import { netsOf, networkOfStages } from './network-of-build.ts';

/** A closed contact, and an open one: far more than what leaks beside it. */
const CLOSED_OHMS = 0.1;
const OPEN_OHMS = 1e15;

/**
 * The network of a build with the contacts of its footswitch as resistors, so that both positions are one network with other
 * values; with everything that leaks: capacitors and lugs. Ceramic capacitors are as large as while the effect is on, in both
 * positions: only contacts move. Undefined where the circuit does not have its footswitch as parts.
 */
export function networkWithContacts(
  build: Build,
  position: FootswitchPosition,
  temperatureK: number,
): Network | undefined {
  const circuit = fittedCircuit(build);
  const switches = (circuit.bypass.footswitch ?? []).flatMap((ref) => {
    const part = partsOf(circuit).get(ref)?.part;
    return part?.kind === 'switch' ? [{ ref, part }] : [];
  });
  if (switches.length === 0) return undefined;
  const stageIds = circuit.stages.map(({ id }) => id);
  const network = withLeakingCapacitors(networkOfStages(build, stageIds, temperatureK, 'apart'), build);
  const nets = netsOf(build, 'apart');
  const contactsIn = (at: FootswitchPosition) =>
    switches.flatMap(({ ref, part }) => contactsOf(ref, part, at, nets));
  const on = { ...network, primitives: [...network.primitives, ...contactsIn('on')] };
  const { primitives } = withBiasedCapacitors(on, build);
  return {
    ...network,
    primitives: [...primitives.slice(0, network.primitives.length), ...contactsIn(position)],
  };
}

function contactsOf(
  ref: string,
  { pins, positions }: SwitchSpec,
  position: FootswitchPosition,
  nets: (pin: string) => NodeName,
): readonly Resistor[] {
  const own = ofPart(ref);
  const net = (pin: string) => nets(`${ref}.${pin}`);
  const contacts = Object.entries(positions).flatMap(([name, pairs]) =>
    pairs.map(([a, b]): Resistor => {
      const ohms = name === position ? CLOSED_OHMS : OPEN_OHMS;
      return { kind: 'resistor', ...ofPiece(own, `${a} to ${b}`), nodes: [net(a), net(b)], ohms };
    }),
  );
  return [...contacts, ...pins.map((pin) => lugLeakage(ofPiece(own, `${pin} leakage`), net(pin)))];
}
