import { GROUND } from '../../engine/devices/node.ts';
import type { OpampData } from '../../engine/devices/opamp-data.ts';
import type { Network, Primitive } from '../../engine/network/network.ts';
import {
  bipolar,
  capacitor,
  diode,
  fieldEffect,
  inductor,
  network,
  opamp,
  resistor,
  source,
  uniform,
} from './small-networks.ts';

const OPAMP: OpampData = {
  gainBandwidthHz: 3e6,
  slewVPerS: 1.7e6,
  openLoopGain: 1e5,
  headroomHighV: 1,
  headroomLowV: 1,
  inputBiasA: 100e-9,
  quiescentA: 1e-3,
};
const BJT = { saturationCurrentA: 5.911e-15, forwardBeta: 300, reverseBeta: 1.3, earlyV: 62 };
const JFET = { betaAPerV2: 1.1e-3, thresholdV: -1.4, lambdaPerV: 2e-3, gateSaturationCurrentA: 1e-14 };
const MOSFET = { betaAPerV2: 0.085, thresholdV: 1.6, lambdaPerV: 0, gateSaturationCurrentA: 0 };
const DIODES = [
  { saturationCurrentA: 2.52e-9, emissionCoefficient: 1.752, seriesOhms: 0.568, zeroBiasCapacitanceF: 4e-12 },
  { saturationCurrentA: 2.6e-6, emissionCoefficient: 1.6, seriesOhms: 6.5, zeroBiasCapacitanceF: 0.8e-12 },
  { saturationCurrentA: 93.2e-12, emissionCoefficient: 3.73, seriesOhms: 0.042, zeroBiasCapacitanceF: 3e-12 },
  {
    ...{ saturationCurrentA: 1e-9, emissionCoefficient: 1.9, seriesOhms: 3, zeroBiasCapacitanceF: 30e-12 },
    charge: { builtInV: 0.7, transitSeconds: 1e-6 },
  },
];

/** Nodes a to e, each with a resistor to a grounded node, and six other parts between them. */
export function randomNetwork(seed: number): Network {
  const draw = uniform(seed);
  const pick = <T>(list: readonly T[]): T => list[Math.floor(draw() * list.length)]!;
  const nodes = ['out', 'b', 'c', 'd', 'e'];
  const ohms = () => 10 ** (2 + 3.5 * draw());
  const parts: Primitive[] = [source('vcc', 9), resistor('Rin', 'in', 'b', ohms())];
  for (const [k, node] of nodes.entries()) {
    parts.push(resistor(`R${k}`, node, pick([GROUND, 'vcc', ...nodes.slice(0, k)]), ohms()));
    parts.push(resistor(`G${k}`, node, GROUND, 10 * ohms()));
  }
  const other = (not: string) => pick([GROUND, 'vcc', 'in', ...nodes].filter((node) => node !== not));
  for (let k = 0; k < 5; k++) {
    const a = pick(nodes);
    const b = other(a);
    const kind = Math.floor(4 * draw());
    if (kind === 0) parts.push(capacitor(`C${k}`, a, b, 10 ** (-11 + 5 * draw())));
    else if (kind === 1) {
      // With its winding resistance: an ideal coil between a source and a junction is a short circuit.
      parts.push(inductor(`L${k}`, a, `coil ${k}`, 10 ** (-3 + 3 * draw())));
      parts.push(resistor(`RL${k}`, `coil ${k}`, b, 100));
    } else parts.push(diode(`D${k}`, draw() < 0.5 ? [a, b] : [b, a], pick(DIODES), pick([1, 2, 3])));
  }
  const legs = [other(''), pick(nodes), other('')] as const;
  const kind = pick(['npn', 'pnp', 'nJfet', 'pJfet', 'nMosfet', 'opamp'] as const);
  if (kind === 'npn' || kind === 'pnp') parts.push(bipolar(kind, 'Q1', legs, BJT));
  else if (kind === 'nJfet' || kind === 'pJfet') parts.push(fieldEffect(kind, 'Q1', legs, JFET));
  else if (kind === 'nMosfet') parts.push(fieldEffect(kind, 'Q1', legs, MOSFET));
  else {
    parts.push(opamp('U1', [pick(nodes), 'minus', 'driven', 'vcc', GROUND], OPAMP));
    parts.push(
      resistor('R feedback', 'minus', 'driven', ohms()),
      resistor('R minus', 'minus', 'vcc', ohms()),
    );
    parts.push(resistor('R last', 'driven', 'last', ohms()), capacitor('C last', 'last', GROUND, 1e-8));
    parts.push(diode('D last', ['last', 'vcc'], pick(DIODES)), resistor('R load', 'last', GROUND, ohms()));
  }
  return network(parts);
}
