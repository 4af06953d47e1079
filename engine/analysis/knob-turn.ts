import type { Build } from '../builds/build.ts';
import { networkOf } from '../builds/network-of-build.ts';
import { Refusal } from '../input/refusal.ts';
import { FrequencyResponse } from './frequency-response.ts';

/** Bass, middle and treble of a guitar. */
const BANDS = [
  { name: 'bass', hz: 100 },
  { name: 'middle', hz: 1000 },
  { name: 'treble', hz: 5000 },
] as const;
/** From a quarter to three quarters of the turn, where neither end silences the pedal. */
const FROM = 0.25;
const TO = 0.75;
/** Less than this is not stated, decibels. */
const LEAST_DB = 1;
/** If the band that changes least changes at least this share of what the strongest does, it is the gain as a whole. */
const WHOLE_SHARE = 0.6;

/**
 * What each knob does when it is turned clockwise over the middle half of its turn, by the small signal at rest: "clockwise: treble
 * +9 dB". The other knobs stand as in the build; one that turns with another is counted with that. Empty for a build that cannot
 * be solved.
 */
export function knobTurns(build: Build, temperatureK: number): ReadonlyMap<string, string> {
  try {
    return new Map(
      build.circuit.knobs
        .filter(
          ({ ref, gang }) =>
            !(gang && build.switches[gang.switch] === gang.position) && build.parts[ref]?.fit === undefined,
        )
        .flatMap(({ name }) => {
          const text = turnOf(build, name, temperatureK);
          return text === undefined ? [] : [[name, text] as const];
        }),
    );
  } catch (error) {
    if (error instanceof Refusal) return new Map();
    throw error;
  }
}

function turnOf(build: Build, name: string, temperatureK: number): string | undefined {
  const [from, to] = [FROM, TO].map((rotation) => levels(turned(build, name, rotation), temperatureK));
  const changes = from!.map((decibels, index) => to![index]! - decibels);
  return turnText(changes, name === build.circuit.roles.level);
}

const turned = (build: Build, name: string, rotation: number): Build => ({
  ...build,
  knobs: { ...build.knobs, [name]: rotation },
});

function levels(build: Build, temperatureK: number): readonly number[] {
  const network = networkOf(build, temperatureK);
  const response = new FrequencyResponse(network);
  return BANDS.map(({ hz }) => response.at(hz, network.output).decibels);
}

/** @param changes Of each band, decibels. */
function turnText(changes: readonly number[], isLevel: boolean): string | undefined {
  if (!changes.every(Number.isFinite)) return undefined;
  const most = Math.max(...changes.map(Math.abs));
  if (most < LEAST_DB) return `clockwise: less than ${LEAST_DB}\u00a0dB`;
  const isWhole = changes.every(
    (each) => Math.sign(each) === Math.sign(changes[0]!) && Math.abs(each) >= WHOLE_SHARE * most,
  );
  if (isWhole) return `clockwise: ${isLevel ? 'level' : 'gain'} ${decibelText(changes[1]!)}`;
  const stated = BANDS.flatMap(({ name }, index) =>
    Math.abs(changes[index]!) < LEAST_DB ? [] : [`${name}\u00a0${decibelText(changes[index]!)}`],
  );
  return `clockwise: ${stated.join(', ')}`;
}

function decibelText(decibels: number): string {
  return `${decibels > 0 ? '+' : '−'}${Math.abs(decibels).toFixed(0)}\u00a0dB`;
}

/** What the figures of `knobTurns` are, as a sentence. */
export const KNOB_TURN_TEXT = `"Clockwise": the change of a small signal over the middle half of the turn, ${BANDS.map(({ name, hz }) => `${name} at ${hz >= 1000 ? `${hz / 1000} kHz` : `${hz} Hz`}`).join(', ')}.`;
