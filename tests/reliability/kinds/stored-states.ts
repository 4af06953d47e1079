import { networkOf } from '../../../engine/builds/network-of-build.ts';
import { kelvinOf } from '../../../engine/network/temperature.ts';
import { compileCircuit } from '../../../engine/solver/compile.ts';
import { EarDose } from '../../../ui/ear/ear-exposure.ts';
import { loadBindings } from '../../../ui/hands/hand-bindings.ts';
import { OUTPUT_RANGE_DB } from '../../../ui/state/bench-state.ts';
import { loadBlindTests } from '../../../ui/state/kept-blind-tests.ts';
import { readTheme } from '../../../ui/state/theme.ts';
import { SLOTS } from '../../../worklets/bench-messages.ts';
import texts from '../../fixtures/saved-state.json' with { type: 'json' };
import { startedState } from '../../started-bench.ts';
import { cpuSeconds } from '../cpu-time.ts';
import type { Kind } from '../kind.ts';
import { damagedState } from '../stored-states.ts';
import { withStoredTexts } from '../stored-texts.ts';

/** Damaged stored data of the browser: the bench starts with builds that can be played. */
export const kind: Kind = {
  name: 'damaged stored states',
  figure: { name: 'slowest', unit: 's of processor time', most: 2 },
  attempt: (seed) => {
    const { what, texts: damaged } = damagedState(texts, seed);
    const { result: fault, seconds } = cpuSeconds(() => withStoredTexts(damaged, startingFault));
    return { fault: fault === undefined ? undefined : `${what}: ${fault}`, figure: seconds };
  },
};

/** Reads everything that the page reads at the start. @returns The problem. */
function startingFault(): string | undefined {
  try {
    const { builds, temperatureC, outputDb } = startedState();
    loadBindings();
    loadBlindTests();
    new EarDose();
    readTheme();
    for (const slot of SLOTS) {
      const network = networkOf(builds[slot], kelvinOf(temperatureC));
      compileCircuit(network, { sampleRateHz: 48_000, interpreted: true });
    }
    const isInRange = outputDb >= OUTPUT_RANGE_DB.lowest && outputDb <= OUTPUT_RANGE_DB.highest;
    return isInRange ? undefined : `the output is at ${outputDb} dB`;
  } catch (error) {
    return `it threw ${error}`;
  }
}
