import { deviceModel, isDevice } from '../devices/devices.ts';
import { capacitancePlace, parametersOf, placeOf } from './parameters.ts';
import type { Element } from './partition.ts';

const GAIN_BANDWIDTH = placeOf('opamp', 'gainBandwidthRadPerS');
/** With the third-order formula a resonance of a Q above 7 can grow. */
const MOST_Q = 5;
/** Range of ω·T in which it can; below this the formula follows the resonance accurately. */
const CRITICAL_RADIANS = [0.2, 3] as const;
/** A resistor in series with a capacitor is ignored if it charges it within so many steps. */
const SHORT_STEPS = 1;
/** A larger conductance across the feedback makes an op-amp a follower in any case, S. */
const MOST_FEEDBACK_S = 1e6;
/** Number of feedback conductances that are checked in each decade. */
const PER_DECADE = 8;

/** Capacitances, F, and conductances, S, at the inverting input of an op-amp: of its load, its feedback, and the feedback's junctions at most. */
interface InvertingInput {
  loadF: number;
  feedbackF: number;
  loadS: number;
  feedbackS: number;
  junctionsS: number;
}

/**
 * Indices of the op-amps that can resonate near the step rate, where the third-order formula is not stable. A capacitor
 * loads their inverting input without a resistor in series. With C_l and G_l of that load, C_f and G_f between input and
 * output, and w the gain-bandwidth, the loop has the poles of
 *
 *   s²·(C_l + C_f) + s·(G_l + G_f + w·C_f) + w·G_f = 0
 *
 * where G_f changes with the current of the diodes in the feedback.
 */
export function resonantOpamps(
  elements: readonly Element[],
  held: ReadonlySet<number>,
  temperatureK: number,
  stepRateHz: number,
): ReadonlySet<number> {
  const opamps = elements.filter(({ primitive }) => primitive.kind === 'opamp');
  const surroundings = new Surroundings(elements, held, temperatureK, stepRateHz);
  return new Set(
    opamps.flatMap((opamp, index) => {
      const [, minus = 0, out = 0] = opamp.nodes;
      if (minus === out) return [];
      const bandwidth = parametersOf(opamp.primitive, temperatureK)[GAIN_BANDWIDTH]!;
      return isCritical(surroundings.of(minus, out), bandwidth, stepRateHz) ? [index] : [];
    }),
  );
}

class Surroundings {
  readonly #elements: readonly Element[];
  readonly #held: ReadonlySet<number>;
  readonly #temperatureK: number;
  readonly #stepRateHz: number;

  constructor(
    elements: readonly Element[],
    held: ReadonlySet<number>,
    temperatureK: number,
    stepRateHz: number,
  ) {
    this.#elements = elements.filter(({ nodes }) => nodes.length === 2);
    this.#held = held;
    this.#temperatureK = temperatureK;
    this.#stepRateHz = stepRateHz;
  }

  of(minus: number, out: number): InvertingInput {
    const input = { loadF: 0, feedbackF: 0, loadS: 0, feedbackS: 0, junctionsS: 0 };
    for (const element of this.#elements) {
      if (!element.nodes.includes(minus)) continue;
      if (element.nodes.includes(out)) {
        input.feedbackF += this.#farads(element);
        input.feedbackS += siemensOf(element);
      } else this.#addLoad(input, element, minus);
    }
    input.junctionsS = this.#throughJunctions(minus, out, new Set([minus]));
    return input;
  }

  /** Largest conductance from a node to the output through junctions, S; those in series as one. */
  #throughJunctions(from: number, out: number, passed: ReadonlySet<number>): number {
    let sum = 0;
    for (const [far, siemens] of this.#neighboursThroughJunctions(from)) {
      if (far === out) sum += siemens;
      else if (!passed.has(far) && !this.#held.has(far))
        sum += 1 / (1 / siemens + 1 / this.#throughJunctions(far, out, new Set([...passed, far])));
    }
    return sum;
  }

  /** Nodes that junctions join to a node; those in parallel are one, or a string of pairs would have a path for each choice. */
  #neighboursThroughJunctions(node: number): ReadonlyMap<number, number> {
    const siemensTo = new Map<number, number>();
    for (const element of this.#elements) {
      const siemens = junctionS(element);
      if (siemens === 0 || !element.nodes.includes(node)) continue;
      const far = element.nodes[0] === node ? element.nodes[1]! : element.nodes[0]!;
      siemensTo.set(far, (siemensTo.get(far) ?? 0) + siemens);
    }
    return siemensTo;
  }

  /** A resistor in series with a capacitor makes the load resistive, unless it is negligible. */
  #addLoad(input: InvertingInput, element: Element, minus: number): void {
    const far = element.nodes[0] === minus ? element.nodes[1]! : element.nodes[0]!;
    const [farads, siemens] = [this.#farads(element), siemensOf(element)];
    const onward = this.#held.has(far)
      ? []
      : this.#elements.filter((other) => other !== element && other.nodes.includes(far));
    const onwardF = onward.reduce((sum, other) => sum + this.#farads(other), 0);
    const onwardS = onward.reduce((sum, other) => sum + siemensOf(other), 0);
    const isShort = (series: number, capacitance: number) =>
      capacitance * this.#stepRateHz < SHORT_STEPS * series;
    if (siemens > 0) {
      if (onwardF > 0 && isShort(siemens, onwardF)) input.loadF += onwardF;
      else input.loadS += siemens;
    } else if (onwardS === 0 || onwardF > 0 || isShort(onwardS, farads)) input.loadF += farads;
    else input.loadS += onwardS;
  }

  #farads({ primitive }: Element): number {
    const place = capacitancePlace(primitive);
    return place < 0 ? 0 : parametersOf(primitive, this.#temperatureK)[place]!;
  }
}

function siemensOf({ primitive }: Element): number {
  return primitive.kind === 'resistor' ? 1 / primitive.ohms : 0;
}

/** Largest conductance of an element's junctions, S. */
function junctionS({ primitive }: Element): number {
  if (!isDevice(primitive)) return 0;
  const bounds = deviceModel(primitive.kind).conductanceBounds(primitive);
  return bounds.reduce((sum, [, , siemens]) => sum + siemens, 0);
}

function isCritical(
  { loadF, feedbackF, loadS, feedbackS, junctionsS }: InvertingInput,
  bandwidth: number,
  stepRateHz: number,
): boolean {
  if (loadF === 0) return false;
  const farads = loadF + feedbackF;
  const most = Math.min(feedbackS + junctionsS, MOST_FEEDBACK_S);
  const least = Math.max(feedbackS, 1e-9);
  for (let siemens = least; siemens <= most; siemens *= 10 ** (1 / PER_DECADE)) {
    const omega = Math.sqrt((bandwidth * siemens) / farads);
    const quality = (omega * farads) / (loadS + siemens + bandwidth * feedbackF);
    const radians = omega / stepRateHz;
    if (quality > MOST_Q && radians > CRITICAL_RADIANS[0] && radians < CRITICAL_RADIANS[1]) return true;
  }
  return false;
}
