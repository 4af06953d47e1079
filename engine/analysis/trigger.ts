/** Share of the peak by which a signal has to have been below zero to count as having come up. */
const HYSTERESIS = 0.1;
/** Below this there is nothing to trigger on, V. */
const SILENCE_V = 1e-4;

/**
 * Last sample before which a signal rises through zero, as an oscilloscope is triggered: it has to come from below a
 * tenth of its peak, so that ripple about zero does not trigger.
 *
 * @param from,to Where the sample is to lie. @returns Its index, or −1 where the signal is silent or does not rise there.
 */
export function lastRise(signal: Float32Array, from: number, to: number): number {
  let peak = 0;
  for (const volts of signal) peak = Math.max(peak, Math.abs(volts));
  if (peak < SILENCE_V) return -1;
  let isArmed = false;
  let found = -1;
  for (let n = 1; n < to; n++) {
    if (signal[n - 1]! < -HYSTERESIS * peak) isArmed = true;
    if (!isArmed || signal[n]! < 0) continue;
    isArmed = false;
    if (n >= from) found = n;
  }
  return found;
}
