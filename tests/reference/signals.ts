/**
 * Test signals of the reference: exact functions of continuous time, volts, zero before t = 0.
 * The same formulas are in signals.py.
 *
 *   sine      A·sin(2πft)
 *   plucked   A/P·(1 − exp(−t / 0.3 ms))·Σ_{n=1..8} a_n·exp(−8·n·t)·sin(2π·f_n·t)
 *             a_n = sin(0.19·π·n)/n, f_n = 196 Hz·n·√(1 + 1e-4·n²), P = peak of the rest within 26 ms
 *   step      A/2·(1 + tanh((t − 2 ms) / 20 µs)), from 10 to 90 % in 44 µs: a corner between two samples would
 *             would measure only where it falls
 */

const FUNDAMENTAL_HZ = 196;
const INHARMONICITY = 1e-4;
const ATTACK_SECONDS = 0.3e-3;
const PARTIAL_COUNT = 8;
/** Found by bounded minimisation of −|p(t)| over 26 ms (SciPy), at t = 4.57792 ms. */
const PLUCKED_PEAK = 1.308485288804057;
const STEP_AT_SECONDS = 2e-3;
const STEP_RISE_SECONDS = 20e-6;

/** Volts at a time in seconds. */
export type Signal = (seconds: number) => number;

/** The description of an input in a vector file. */
export type SignalDescription =
  | { readonly signal: 'sine'; readonly frequencyHz: number; readonly peakV: number }
  | { readonly signal: 'plucked' | 'step'; readonly peakV: number };

/**
 * How difficult an input is for the solver. `target` is what a guitar gives, plucked or a sine up to 1 kHz and 1 V: for
 * these there is an aim for the error. For the others the error is known and may not grow.
 */
export type InputClass = 'target' | '2 V' | '5 kHz' | 'step';

export function inputClassOf(description: SignalDescription): InputClass {
  if (description.signal === 'step') return 'step';
  if (description.signal === 'sine' && description.frequencyHz > 1000) return '5 kHz';
  return description.peakV > 1 ? '2 V' : 'target';
}

/** The signal of a description. */
export function signalOf(description: SignalDescription): Signal {
  switch (description.signal) {
    case 'sine':
      return sine(description.peakV, description.frequencyHz);
    case 'plucked':
      return plucked(description.peakV);
    case 'step':
      return step(description.peakV);
  }
}

/** A·sin(2πft) from t = 0. */
export function sine(peakV: number, frequencyHz: number): Signal {
  return (seconds) => (seconds > 0 ? peakV * Math.sin(2 * Math.PI * frequencyHz * seconds) : 0);
}

/** Eight slightly inharmonic, decaying partials of 196 Hz with a smooth attack; `peakV` is reached at 4.6 ms. */
export function plucked(peakV: number): Signal {
  return (seconds) => {
    if (seconds <= 0) return 0;
    let sum = 0;
    for (let n = 1; n <= PARTIAL_COUNT; n += 1) {
      const amplitude = Math.sin(0.19 * Math.PI * n) / n;
      const frequencyHz = FUNDAMENTAL_HZ * n * Math.sqrt(1 + INHARMONICITY * n * n);
      sum += amplitude * Math.exp(-8 * n * seconds) * Math.sin(2 * Math.PI * frequencyHz * seconds);
    }
    return (-peakV / PLUCKED_PEAK) * Math.expm1(-seconds / ATTACK_SECONDS) * sum;
  };
}

/** From 0 to `peakV` at 2 ms, as fast as sound at 48 kHz can rise; above 120 kHz it has −170 dB of a corner's spectrum. */
function step(peakV: number): Signal {
  return (seconds) =>
    seconds > 0 ? (peakV / 2) * (1 + Math.tanh((seconds - STEP_AT_SECONDS) / STEP_RISE_SECONDS)) : 0;
}

/**
 * Samples of a signal from t = 0 to `durationSeconds` inclusive.
 *
 * @param sampleRateHz Rate whose product with the duration is a whole number.
 * @returns Volts, length durationSeconds·sampleRateHz + 1.
 */
export function sampleSignal(signal: Signal, sampleRateHz: number, durationSeconds: number): Float64Array {
  const length = Math.round(durationSeconds * sampleRateHz) + 1;
  return Float64Array.from({ length }, (_, index) => signal(index / sampleRateHz));
}
