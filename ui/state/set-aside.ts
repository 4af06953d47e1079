import { serialiseBuild } from '../../engine/builds/build-file.ts';
import { buildTitle } from '../../engine/builds/build-title.ts';
import { readJson } from '../../engine/input/json.ts';
import { keptTexts } from '../storage/kept-texts.ts';
import { allPedals, type Sides } from './chains.ts';

/** Builds that could not be loaded, offered as files until dismissed. */
export interface SetAside {
  /** Why, in one sentence. */
  readonly message: string;
  readonly files: readonly SetAsideFile[];
}

export interface SetAsideFile {
  /** What it is, for a button. */
  readonly title: string;
  /** Name of the file without its ending, and the ending. */
  readonly name: string;
  readonly ending: string;
  readonly text: string;
}

const NAME = 'set-aside';

/** Every pedal of both sides as a file that can be repaired and opened. */
export function setAsideSides(message: string, sides: Sides): SetAside {
  const files = allPedals(sides).map(({ pedal: { build } }) => ({
    title: buildTitle(build),
    name: buildTitle(build),
    ending: 'build.json',
    text: serialiseBuild(build),
  }));
  return { message, files };
}

/** Builds set aside on an earlier visit and not dismissed. */
export function loadSetAside(): SetAside | undefined {
  const kept = readJson(keptTexts.read(NAME) ?? '');
  return isSetAside(kept) ? kept : undefined;
}

export function saveSetAside(setAside: SetAside | undefined): void {
  keptTexts.keep(NAME, setAside && JSON.stringify(setAside));
}

function isSetAside(entry: unknown): entry is SetAside {
  const { message, files } = (entry ?? {}) as Partial<SetAside>;
  return typeof message === 'string' && Array.isArray(files) && files.every(isFile);
}

function isFile(entry: unknown): entry is SetAsideFile {
  const { title, name, ending, text } = (entry ?? {}) as Partial<SetAsideFile>;
  return [title, name, ending, text].every((each) => typeof each === 'string');
}
