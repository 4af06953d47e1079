import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { EarDose } from '../../ui/ear/ear-exposure.ts';
import { loadBindings } from '../../ui/midi/midi-bindings.ts';
import { OUTPUT_RANGE_DB } from '../../ui/state/bench-state.ts';
import { loadBlindTests } from '../../ui/state/kept-blind-tests.ts';
import { startingState } from '../../ui/state/starting-state.ts';
import { readTheme } from '../../ui/state/theme.ts';
import { SLOTS } from '../../worklets/bench-messages.ts';
import { damagedStates, tryStoredStates } from '../reliability/stored-states.ts';
import { stubStorage } from './kept-storage.ts';

const file = new URL('../fixtures/saved-state.json', import.meta.url);
const texts: Record<string, string> = JSON.parse(readFileSync(file, 'utf8'));

/** Whatever the page reads at start. */
async function open(damaged: Readonly<Record<string, string>>): Promise<string | undefined> {
  stubStorage(damaged);
  const { builds, temperatureC, outputDb } = startingState('guitar-fifths');
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
}

describe('stored states that were damaged', () => {
  it('start the bench with builds that can be played: fifty of them', async () => {
    const { tried, failures } = await tryStoredStates({ texts, seed: 1, count: 50, open });
    expect(failures).toEqual([]);
    expect(tried).toBe(50);
  }, 120_000);

  it('are the same for the same seed, of many kinds, and each one damaged', () => {
    const states = damagedStates(texts, 7, 300);
    expect(damagedStates(texts, 7, 300)).toEqual(states);
    const whats = states.map(({ what }) => what).join('\n');
    for (const kind of ['cut short', 'gone', 'another version', 'unknown circuit', 'parts.', 'midi'])
      expect(whats).toContain(kind);
    const same = states.filter((state) => JSON.stringify(state.texts) === JSON.stringify(texts));
    // A character may be changed into itself, and a text may take its own place.
    expect(same.length).toBeLessThan(10);
  });
});
