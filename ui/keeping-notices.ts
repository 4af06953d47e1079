import { SLOTS } from '../worklets/bench-messages.ts';
import type { BenchKeeper } from './bench-keeper.ts';
import { LETTER } from './components/bench-element.ts';
import { offerDownload } from './ear/download.ts';
import { dismissal, type Notice, type Way } from './notice.ts';
import type { Action, BenchState } from './state/bench-state.ts';
import type { EarState, UnkeptRiff } from './state/ear-state.ts';
import type { SetAsideFile } from './state/set-aside.ts';
import type { Keeping } from './storage/kept-texts.ts';

const NOT_KEPT: Readonly<Record<Exclude<Keeping, 'kept'>, string>> = {
  forbidden:
    'This browser stores nothing for this page: cookies or site data are blocked. Save builds as files.',
  full: 'The browser’s storage is full: changes are not stored. Save builds as files.',
  elsewhere: 'The bench is open in another tab. Changes in this tab are not stored.',
};

type Act = (action: Action) => void;

/** Everything that is not stored, or not completely. */
export function keepingNotices(
  { setAside, ear }: BenchState,
  keeper: BenchKeeper,
  act: Act,
): readonly Notice[] {
  const { keeping, gone } = keeper;
  const { databaseTrouble: trouble } = ear;
  return [
    ...(keeping === 'kept' ? [] : [notKept(keeping, keeper, act)]),
    ...(setAside
      ? [
          notice(setAside.message, [
            ...setAside.files.map(fileSaving),
            dismissal(() => act({ type: 'dropSetAside' })),
          ]),
        ]
      : []),
    ...ear.unkept.flatMap((unkept) => unkeptRiff(unkept, ear, act)),
    ...(trouble === undefined ? [] : [notice(trouble, [earDismissal({ databaseTrouble: undefined }, act)])]),
    ...(gone === undefined ? [] : [notice(gone, [dismissal(() => keeper.dismissGone())])]),
  ];
}

function notKept(keeping: Exclude<Keeping, 'kept'>, keeper: BenchKeeper, act: Act): Notice {
  const saves = SLOTS.map((slot) => ({
    title: `Save ${LETTER[slot]}`,
    act: () => act({ type: 'save', slot }),
  }));
  const last =
    keeping === 'elsewhere'
      ? { title: 'Keep this tab instead', act: () => keeper.takeOver() }
      : dismissal(() => keeper.dismissKeeping());
  return notice(NOT_KEPT[keeping], [...saves, last]);
}

function unkeptRiff({ id, reason }: UnkeptRiff, ear: EarState, act: Act): readonly Notice[] {
  const name = ear.riffs.find((riff) => riff.id === id)?.name;
  if (name === undefined) return [];
  const save = () => act({ type: 'earCommand', command: { do: 'saveRiff', id } });
  const others = ear.unkept.filter((unkept) => unkept.id !== id);
  return [
    notice(`The riff “${name}” is not kept: ${reason}.`, [
      { title: 'Save as WAV', act: save },
      earDismissal({ unkept: others }, act),
    ]),
  ];
}

function earDismissal(change: Partial<EarState>, act: Act): Way {
  return dismissal(() => act({ type: 'ear', change }));
}

function fileSaving({ title, name, ending, text }: SetAsideFile): Way {
  const save = () => offerDownload(new Blob([text], { type: 'text/plain' }), name, ending);
  return { title: `Save ${title}`, act: save };
}

function notice(text: string, ways: readonly Way[]): Notice {
  return { text, kind: 'problem', isUrgent: true, ways };
}
