/** Share of the peak by which a signal must have been below zero before it counts as rising. */
const HYSTERESIS = 0.1;
/** Least peak for a trigger, V. */
const SILENCE_V = 1e-4;

/**
 * Last rising zero crossing, as for the trigger of an oscilloscope: the signal must come from below a tenth of
 * its peak, so that ripple around zero does not trigger.
 *
 * @param from,to Range of the sample. @returns Its index, or −1 if the signal is silent or does not rise there.
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
