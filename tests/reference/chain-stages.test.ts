import { networkOfChain } from '../../engine/builds/chain.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network } from '../../engine/network/network.ts';
import { pruneNetwork } from '../../engine/network/prune.ts';
import { presetBuild } from '../preset-build.ts';
import { describeStages } from './netlist-stages.ts';

/** Two pedals with a cable of 5 m between them. @param level Position of the first one's level knob. */
function pair(first: string, second: string, level: number): Network {
  const { circuit, ...build } = presetBuild(first);
  const knobs = { ...build.knobs, [circuit.roles.level]: level };
  const pedals = [{ ...build, circuit, knobs }, presetBuild(second)].map((each) => ({
    build: each,
    isOn: true,
    cableMetres: 5,
  }));
  return pruneNetwork(networkOfChain({ pedals }, NOMINAL_TEMPERATURE_K));
}

/** Chains whose pedals no buffer parts: a volume pot drives a cable and the base of the next pedal's first transistor. */
const CHAINS: Readonly<Record<string, Network>> = {
  'mid lift ahead of another drive': pair('clean-midlift', 'soft-plain', 0.5),
};

describeStages('chain', CHAINS, '2:buffered');
