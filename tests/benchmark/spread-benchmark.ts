import { type AskSpread, spreadBuilds, USUAL_COUNT } from '../../engine/analysis/spread-report.ts';
import { doSpreadTask } from '../../engine/analysis/spread-tasks.ts';
import { USUAL_SEED } from '../../engine/builds/parts-set.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { presetBuild } from '../preset-build.ts';

/** Processor time of a preset's spread, all in one thread, s. */
export interface SpreadCost {
  readonly preset: string;
  readonly buildsS: number;
  /** Bands, causes, and the two most different builds. */
  readonly figuresS: number;
  /** One clipping level. */
  readonly clippingS: number;
}

/** Clipping levels that are timed. */
const CLIPPING_COUNT = 5;

export async function spreadCost(preset: string): Promise<SpreadCost> {
  const spentS: Record<string, number> = {};
  const ask: AskSpread = (task) => {
    const before = process.cpuUsage();
    const answer = doSpreadTask(task);
    const { user, system } = process.cpuUsage(before);
    spentS[task.kind] = (spentS[task.kind] ?? 0) + (user + system) / 1e6;
    return Promise.resolve(answer as never);
  };
  const temperatureK = { low: NOMINAL_TEMPERATURE_K, high: NOMINAL_TEMPERATURE_K };
  const settings = {
    build: presetBuild(preset),
    around: {},
    temperatureK,
    seed: USUAL_SEED,
    tolerances: {},
  };
  const plan = { settings, count: USUAL_COUNT, clippingCount: CLIPPING_COUNT };
  await spreadBuilds(plan, { ask, nowMs: () => performance.now(), onChange: () => {} });
  return {
    preset,
    buildsS: (spentS['start'] ?? 0) + (spentS['chunk'] ?? 0),
    figuresS: spentS['summary'] ?? 0,
    clippingS: (spentS['clipping'] ?? 0) / CLIPPING_COUNT,
  };
}
