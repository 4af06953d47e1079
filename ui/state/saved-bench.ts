import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { TEMPERATURE_RANGE_C } from '../../engine/network/temperature.ts';
import { LIVE_FACTORS, type RateChoice } from '../rate/live-rate.ts';
import { type Builds, type Calibration, withinRange } from './bench-state.ts';
import { withPresetStart } from './presets.ts';

const KEY = 'cliplead-bench';

/** What is kept from one visit to the next. */
export interface SavedBench {
  readonly builds: Builds;
  readonly calibration: Calibration | undefined;
  readonly temperatureC: number;
  readonly rateChoice: RateChoice;
}

/** Keeps the bench; where the browser keeps nothing, the bench works on without. */
export function saveBench({ builds, calibration, temperatureC, rateChoice }: SavedBench): void {
  const { a, b } = builds;
  try {
    localStorage.setItem(
      KEY,
      JSON.stringify({ a: serialiseBuild(a), b: serialiseBuild(b), calibration, temperatureC, rateChoice }),
    );
  } catch {
    // Storage is full or forbidden: nothing that a builder could do about it while playing.
  }
}

/**
 * What was kept, or undefined: nothing was, or it is not whole.
 *
 * @param onBroken Told why what was kept could not be read.
 */
export function loadBench(onBroken: (reason: string) => void = () => {}): SavedBench | undefined {
  try {
    const text = localStorage.getItem(KEY);
    if (text === null) return undefined;
    const saved = JSON.parse(text) as {
      a: string;
      b: string;
      calibration?: Calibration;
      temperatureC?: number;
      rateChoice?: unknown;
    };
    const { calibration } = saved;
    return {
      builds: { a: withPresetStart(parseBuildFile(saved.a)), b: withPresetStart(parseBuildFile(saved.b)) },
      calibration: calibration && calibration.volts > 0 ? calibration : undefined,
      temperatureC: withinRange(saved.temperatureC ?? Number.NaN, TEMPERATURE_RANGE_C.nominal),
      rateChoice: LIVE_FACTORS.find((factor) => factor === saved.rateChoice) ?? 'measured',
    };
  } catch (error) {
    onBroken(error instanceof Error ? error.message : String(error));
    return undefined;
  }
}
