import { SLOTS, type Slot } from '../worklets/bench-messages.ts';
import { sideFile } from './build-files.ts';
import { sourceName } from './ear/source-name.ts';
import type { BenchChange } from './state/bench-change.ts';
import type { BenchState, LogCommand } from './state/bench-state.ts';
import type { BenchStore } from './state/bench-store.ts';
import { originText, type Sides, sideTitle } from './state/chains.ts';
import { loadModLog, saveModLog } from './state/kept-mod-log.ts';
import {
  EMPTY_LOG,
  joinedLogs,
  type ModLog,
  type NewEntry,
  withEntry,
  withEntryChanged,
  withoutEntry,
} from './state/mod-log.ts';
import { AS_IT_WAS, eventsOf, lastingSides, sideChange } from './state/mod-log-changes.ts';
import { logLine, logNote } from './state/mod-log-file.ts';

/** Changes of the same parts that follow each other within this time are one entry. */
const SAME_SWAP_MS = 4000;
/** A dial changes the log many times a second; its whole text is stored once it rests. */
const STORED_AFTER_MS = 500;

/** The last swap of a side, which the next step of the same dial goes on with. */
interface OpenSwap {
  readonly id: number;
  readonly subject: string;
  readonly from: Sides;
  readonly atMs: number;
}

/** Writes down what happens to the builds, and stores it in the browser. */
export class ModLogDesk {
  readonly #store: BenchStore;
  #log: ModLog = loadModLog();
  #emptied: ModLog | undefined;
  #open: Partial<Record<Slot, OpenSwap>> = {};
  #timer: ReturnType<typeof setTimeout> | undefined;

  constructor(store: BenchStore) {
    this.#store = store;
    store.onChange((change) => this.#follow(change, Date.now()));
  }

  get log(): ModLog {
    return this.#log;
  }

  /** The log was emptied in this visit and can be put back. */
  get canPutBack(): boolean {
    return this.#emptied !== undefined;
  }

  carryOut(command: LogCommand): void {
    switch (command.do) {
      case 'note':
        this.#become(withEntryChanged(this.#log, command.id, { note: logNote(command.note) }));
        return;
      case 'addState': {
        const { state } = this.#store;
        this.#open = {};
        this.#become(
          withEntry(this.#log, this.#entry(command.slot, 'written down as it is', lastingSides(state))),
        );
        return;
      }
      case 'empty':
        this.#emptied = this.#log;
        this.#open = {};
        this.#become(EMPTY_LOG);
        return;
      case 'putBack':
        this.#open = {};
        this.#become(joinedLogs(this.#log, this.#emptied ?? EMPTY_LOG));
        this.#emptied = undefined;
    }
  }

  /** Stores now what waits for being stored; to be called before the page goes. */
  readonly flush = (): void => {
    if (this.#timer === undefined) return;
    clearTimeout(this.#timer);
    this.#timer = undefined;
    saveModLog(this.#log);
  };

  #follow({ before, after }: BenchChange, nowMs: number): void {
    for (const { slot, did, sides } of eventsOf(before, after)) {
      this.#open = { ...this.#open, [slot]: undefined };
      this.#become(withEntry(this.#log, this.#entry(slot, did, sides)));
    }
    if (before.builds === after.builds && before.places === after.places && before.ear === after.ear) return;
    const [from, to] = [lastingSides(before), lastingSides(after)];
    for (const slot of SLOTS) this.#followSide(slot, from, to, nowMs);
  }

  #followSide(slot: Slot, from: Sides, to: Sides, nowMs: number): void {
    const { did, subject } = sideChange(from, to, slot);
    if (did === '') return;
    const open = this.#open[slot];
    if (open && subject !== '' && subject === open.subject && nowMs - open.atMs < SAME_SWAP_MS) {
      this.#goOn(slot, open, to, nowMs);
      return;
    }
    const start = this.#entry(slot, AS_IT_WAS, from);
    const isKnown = this.#log.entries.some(({ file }) => file === start.file);
    const started = isKnown ? this.#log : withEntry(this.#log, start);
    const log = withEntry(started, this.#entry(slot, did, to));
    this.#open = { ...this.#open, [slot]: { id: log.entries[0]!.id, subject, from, atMs: nowMs } };
    this.#become(log);
  }

  /** Another step of the same dial; back where it began, nothing has happened. */
  #goOn(slot: Slot, open: OpenSwap, to: Sides, nowMs: number): void {
    const { did } = sideChange(open.from, to, slot);
    if (did === '') {
      this.#open = { ...this.#open, [slot]: undefined };
      this.#become(withoutEntry(this.#log, open.id));
      return;
    }
    this.#open = { ...this.#open, [slot]: { ...open, atMs: nowMs } };
    this.#become(withEntryChanged(this.#log, open.id, this.#entry(slot, did, to)));
  }

  #entry(slot: Slot, did: string, sides: Sides): NewEntry {
    return {
      time: new Date().toISOString(),
      slot,
      title: logLine(sideTitle(sides, slot)),
      origin: logLine(originText(sides, slot)),
      did: logLine(did),
      played: logLine(playedNow(this.#store.state)),
      file: sideFile(sides, slot, false).text,
    };
  }

  #become(log: ModLog): void {
    this.#log = log;
    clearTimeout(this.#timer);
    this.#timer = setTimeout(this.flush, STORED_AFTER_MS);
  }
}

function playedNow({ isListening, source, ear }: BenchState): string {
  return isListening && source.kind !== 'none' ? sourceName(source, ear.riffs) : '';
}
