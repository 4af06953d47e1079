import { Refusal } from '../../engine/input/refusal.ts';
import type { Network } from '../../engine/network/network.ts';
import { circuitNumbers, circuitValues, compileCircuit } from '../../engine/solver/compile.ts';
import type { CompiledCircuit } from '../../engine/solver/compiled-circuit.ts';
import type { OperatingPoint } from '../../engine/solver/operating-point.ts';
import { warmUp } from '../../engine/solver/warm-up.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import { restOf } from './rest-of.ts';
import type { PreparedBuild, SwapAnswer, SwapRequest, WantedBuild } from './swap-messages.ts';

/** Without emitted code it would take much longer than the audio thread has. */
const TOO_ENTANGLED =
  'Without a capacitor on its bias or supply, or with so many parts in series and parallel, all its stages have to be solved at once, which takes too long to be played live. The command line can render it.';

/** Number of compiled circuits that are kept: those of both builds, bypassed and not, and of some earlier swaps. */
const MOST_KEPT = 8;

/**
 * Makes what the audio thread needs for a swap: solves the operating point, compiles circuits with another structure,
 * and keeps the last circuits, so that going back is quick. Takes about forty milliseconds for a new structure and
 * three for other values; runs in a worker.
 */
export class SwapPreparer {
  /** The newest is the last. */
  readonly #compiled = new Map<string, CompiledCircuit>();
  readonly #rests = new Map<Slot, OperatingPoint>();

  prepare(request: SwapRequest): SwapAnswer {
    const builds: Partial<Record<Slot, PreparedBuild>> = {};
    for (const slot of SLOTS) {
      const wanted = request.builds[slot];
      if (!wanted) continue;
      try {
        const prepared = this.#prepareBuild(slot, wanted, request);
        if (!prepared) return { kind: 'refused', slot, message: TOO_ENTANGLED };
        builds[slot] = prepared;
      } catch (error) {
        if (error instanceof Refusal) return { kind: 'refused', slot, message: error.message };
        throw error;
      }
    }
    return { kind: 'ready', builds };
  }

  /** @returns Undefined if no engine accepts its code. */
  #prepareBuild(
    slot: Slot,
    { network, engaged, playing }: WantedBuild,
    { circuitRateHz, isTurn }: SwapRequest,
  ): PreparedBuild | undefined {
    const rest = restOf(network, isTurn ? this.#rests.get(slot) : undefined);
    if (engaged && !isTurn) restOf(engaged);
    const { structureKey } = circuitValues(network, { sampleRateHz: circuitRateHz });
    if (structureKey === playing) {
      this.#rests.set(slot, rest);
      return { kind: 'values', structureKey, numbers: circuitNumbers(network, rest) };
    }
    const circuit = this.#circuitOf(network, structureKey, circuitRateHz, rest);
    if (!circuit.module) return undefined;
    this.#rests.set(slot, rest);
    return { kind: 'circuit', structureKey, circuit };
  }

  #circuitOf(
    network: Network,
    structureKey: string,
    sampleRateHz: number,
    rest: OperatingPoint,
  ): CompiledCircuit {
    const key = `${sampleRateHz} ${structureKey}`;
    const known = this.#compiled.get(key);
    this.#compiled.delete(key);
    const circuit = known
      ? { ...known, ...circuitNumbers(network, rest) }
      : compileCircuit(network, { sampleRateHz, paired: true, rest });
    if (!known && circuit.module) warmUp(circuit);
    this.#compiled.set(key, circuit);
    const [oldest] = this.#compiled.keys();
    if (this.#compiled.size > MOST_KEPT && oldest !== undefined) this.#compiled.delete(oldest);
    return circuit;
  }
}
