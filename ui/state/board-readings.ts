import type { TypedReadings } from '../../engine/analysis/board-readings.ts';
import type { Build } from '../../engine/builds/build.ts';
import type { Chain } from '../../engine/builds/chain.ts';
import { USUAL_METER_OHMS } from '../../engine/parts/battery-measurement.ts';
import type { SheetReadings } from '../../engine/sheet/voltage-data.ts';
import type { Slot } from '../../worklets/bench-messages.ts';

/** A board on the bench: a pedal of a side, with the circuit that it has. */
export interface Board {
  readonly slot: Slot;
  /** Position in the chain. */
  readonly index: number;
  readonly circuit: Build['circuit'];
}

const NONE: TypedReadings = new Map();

/** What was read on the boards of both sides, until the page is closed. Another circuit is another board. */
export class BoardReadings {
  /** Input resistance of the meter. */
  meterOhms = USUAL_METER_OHMS;
  readonly #boards = new Map<string, { readonly circuit: Build['circuit']; readonly typed: TypedReadings }>();

  of(board: Board): TypedReadings {
    const kept = this.#boards.get(keyOf(board));
    return kept?.circuit === board.circuit ? kept.typed : NONE;
  }

  /** Takes what was typed; an empty text takes the reading away. */
  take(board: Board, net: string, text: string): void {
    const typed = new Map(this.of(board));
    if (text.trim() === '') typed.delete(net);
    else typed.set(net, text.trim());
    this.#boards.set(keyOf(board), { circuit: board.circuit, typed });
  }

  /** For the bench sheet, pedal by pedal. */
  ofChain(slot: Slot, { pedals }: Chain): readonly SheetReadings[] {
    return pedals.map(({ build: { circuit } }, index) => ({
      meterOhms: this.meterOhms,
      typed: this.of({ slot, index, circuit }),
    }));
  }
}

const keyOf = ({ slot, index }: Board): string => `${slot}:${index}`;
