import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { type ChainPedal, type ChainPlace, LONE, MOST_PEDALS } from '../../engine/builds/chain.ts';
import { LONGEST_CABLE_METRES } from '../../engine/builds/instrument.ts';
import { isAlone } from './chains.ts';
import { fieldOf, readNumber } from './kept-settings.ts';
import { withPresetStart } from './presets.ts';

const CABLE = { lowest: 0, highest: LONGEST_CABLE_METRES };

/** The rest of a chain as it is stored, with its builds as texts; undefined for a pedal alone. */
export function placeToKeep(place: ChainPlace): object | undefined {
  if (isAlone(place)) return undefined;
  const { before, after, isOn, cableMetres } = place;
  return { before: before.map(pedalToKeep), after: after.map(pedalToKeep), isOn, cableMetres };
}

function pedalToKeep({ build, isOn, cableMetres }: ChainPedal) {
  return { build: serialiseBuild(build), isOn, cableMetres };
}

/** The rest of a chain that was stored by anybody; earlier versions had pedals alone. @throws Refusal for an unreadable build. */
export function readPlace(kept: unknown): ChainPlace {
  const [before, after] = [readPedals(fieldOf(kept, 'before')), readPedals(fieldOf(kept, 'after'))];
  const count = before.length + after.length + 1;
  if (count === 1 || count > MOST_PEDALS) return LONE;
  return { before, after, ...readSwitch(kept) };
}

function readPedals(kept: unknown): readonly ChainPedal[] {
  if (!Array.isArray(kept)) return [];
  return kept.map((pedal) => ({
    build: withPresetStart(parseBuildFile(fieldOf(pedal, 'build') as string)),
    ...readSwitch(pedal),
  }));
}

function readSwitch(kept: unknown): Pick<ChainPlace, 'isOn' | 'cableMetres'> {
  return {
    isOn: fieldOf(kept, 'isOn') !== false,
    cableMetres: readNumber(fieldOf(kept, 'cableMetres'), CABLE) ?? LONE.cableMetres,
  };
}
