import { knobTurns } from '../analysis/knob-turn.ts';
import { type PedalOrder, pedalOrders } from '../analysis/order-list.ts';
import { type Build, startingBuild } from '../builds/build.ts';
import { buildNotes, buildTitle } from '../builds/build-title.ts';
import type { Chain } from '../builds/chain.ts';
import { chainTitle } from '../builds/chain-swaps.ts';
import { clockText, pinLines, swapsWithFigures, swapText } from '../builds/swaps.ts';
import { Refusal } from '../input/refusal.ts';
import { temperatureText } from '../network/temperature.ts';
import { type Pinout, pinoutsOf } from '../wiring/pinouts.ts';
import { type WireRow, wireRows } from '../wiring/wire-list.ts';
import type { Wiring } from '../wiring/wiring.ts';
import { wiringOf } from '../wiring/wiring-of-build.ts';
import { type Caution, cautionsOfAll } from './cautions.ts';
import { type SheetReadings, type VoltageData, voltageData } from './voltage-data.ts';

/** What a sheet is made of. */
export interface SheetSource {
  readonly chain: Chain;
  readonly temperatureK: number;
  /** Day on which it is made, as it is printed. */
  readonly date: string;
  /** File of the build, as it is printed. */
  readonly fileName: string;
  /** Lines of the mod log, the oldest first. */
  readonly log?: readonly string[];
  /** What was read on the board of each pedal. */
  readonly readings?: readonly SheetReadings[];
}

/** All that a bench sheet says, but for its drawings. Volts are texts as a meter shows them. */
export interface SheetData extends Required<Pick<SheetSource, 'date' | 'fileName' | 'log'>> {
  readonly title: string;
  readonly temperature: string;
  readonly pedals: readonly PedalData[];
  readonly cautions: readonly Caution[];
}

export interface PedalData {
  readonly title: string;
  readonly circuit: string;
  /** Clock position by name of the knob. */
  readonly knobs: Readonly<Record<string, string>>;
  /** Position by name of the switch. */
  readonly switches: Readonly<Record<string, string>>;
  readonly bypass: string;
  readonly parts: PedalOrder;
  readonly wiring: Wiring;
  /** The wires in words. */
  readonly wires: readonly WireRow[];
  readonly pinouts: readonly Pinout[];
  readonly voltages: VoltageData;
  /** From the starting values of the circuit. */
  readonly changes: readonly string[];
  /** Lines of the builder's notes. */
  readonly notes: readonly string[];
}

/** @throws BuildError where a build cannot be made. */
export function sheetData({
  chain,
  temperatureK,
  date,
  fileName,
  log = [],
  readings = [],
}: SheetSource): SheetData {
  const builds = chain.pedals.map(({ build }) => build);
  const orders = pedalOrders(playable(chain), temperatureK);
  return {
    title: chainTitle(chain),
    date,
    fileName,
    temperature: temperatureText(temperatureK),
    pedals: builds.map((build, index) => pedalData(build, orders[index]!, temperatureK, readings[index])),
    log,
    cautions: cautionsOfAll(builds),
  };
}

/** Ratings hold for all positions of the knobs and with every effect on. */
function playable({ pedals }: Chain): Chain {
  return {
    pedals: pedals.map((pedal) => ({ ...pedal, isOn: true, build: { ...pedal.build, knobs: {} } })),
  };
}

function pedalData(
  build: Build,
  parts: PedalOrder,
  temperatureK: number,
  readings: SheetReadings | undefined,
): PedalData {
  const { circuit, knobs, switches, bypass } = build;
  const wiring = wiringOf(build, attemptTurns(build, temperatureK));
  return {
    title: buildTitle(build),
    circuit: circuit.title,
    knobs: Object.fromEntries(circuit.knobs.map(({ name }) => [name, clockText(knobs[name] ?? 0)])),
    switches: Object.fromEntries(circuit.switches.map(({ name }) => [name, switches[name] ?? ''])),
    bypass,
    parts,
    wiring,
    wires: wireRows(build, wiring),
    pinouts: pinoutsOf(build),
    voltages: voltageData(build, temperatureK, readings),
    changes: changeLines(build, temperatureK),
    // Line ends of notes are kept.
    notes: buildNotes(build)
      .split(/\r?\n/)
      .filter((line) => line.trim() !== ''),
  };
}

/** Without them the drawing only leaves out what a turn of a knob does. */
function attemptTurns(build: Build, temperatureK: number): ReadonlyMap<string, string> {
  try {
    return knobTurns(build, temperatureK);
  } catch (error) {
    if (error instanceof Refusal) return new Map();
    throw error;
  }
}

function changeLines(build: Build, temperatureK: number): readonly string[] {
  const start = startingBuild(build.circuit);
  const swaps = swapsWithFigures(start, build, temperatureK).filter(({ what }) => what !== 'knob');
  return swaps.length === 0 ? [] : [...swaps.map((swap) => swapText(build, swap)), ...pinLines(start, build)];
}
