import { html, nothing, type TemplateResult } from 'lit';
import { SLOTS, type Slot } from '../worklets/bench-messages.ts';
import type { BenchKeeper } from './bench-keeper.ts';
import { LETTER } from './components/bench-element.ts';
import { offerDownload } from './ear/download.ts';
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

/** Everything that is not stored, or not completely, one line each with a button. */
export function renderKeepingNotices({ setAside, ear }: BenchState, keeper: BenchKeeper, act: Act) {
  const { keeping, gone } = keeper;
  return html`
    ${keeping === 'kept' ? nothing : renderNotKept(keeping, keeper, act)}
    ${
      setAside === undefined
        ? nothing
        : line(
            setAside.message,
            html`${setAside.files.map(renderFile)}<button @click=${() => act({ type: 'dropSetAside' })}>Dismiss</button>`,
          )
    }
    ${ear.unkept.map((unkept) => renderUnkeptRiff(unkept, ear, act))}
    ${
      ear.databaseTrouble === undefined
        ? nothing
        : line(ear.databaseTrouble, dismissEar({ databaseTrouble: undefined }, act))
    }
    ${gone === undefined ? nothing : line(gone, html`<button @click=${() => keeper.dismissGone()}>Dismiss</button>`)}
  `;
}

function renderNotKept(keeping: Exclude<Keeping, 'kept'>, keeper: BenchKeeper, act: Act) {
  const save = (slot: Slot) =>
    html`<button @click=${() => act({ type: 'save', slot })}>Save ${LETTER[slot]}</button>`;
  const last =
    keeping === 'elsewhere'
      ? html`<button @click=${() => keeper.takeOver()}>Keep this tab instead</button>`
      : html`<button @click=${() => keeper.dismissKeeping()}>Dismiss</button>`;
  return line(NOT_KEPT[keeping], html`${SLOTS.map(save)}${last}`);
}

function renderUnkeptRiff({ id, reason }: UnkeptRiff, ear: EarState, act: Act) {
  const name = ear.riffs.find((riff) => riff.id === id)?.name;
  if (name === undefined) return nothing;
  const save = () => act({ type: 'earCommand', command: { do: 'saveRiff', id } });
  const others = ear.unkept.filter((unkept) => unkept.id !== id);
  return line(
    `The riff “${name}” is not kept: ${reason}.`,
    html`<button @click=${save}>Save as WAV</button>${dismissEar({ unkept: others }, act)}`,
  );
}

function dismissEar(change: Partial<EarState>, act: Act) {
  return html`<button @click=${() => act({ type: 'ear', change })}>Dismiss</button>`;
}

function renderFile({ title, name, ending, text }: SetAsideFile) {
  const save = () => offerDownload(new Blob([text], { type: 'text/plain' }), name, ending);
  return html`<button @click=${save}>Save ${title}</button>`;
}

function line(text: string, buttons: TemplateResult) {
  return html`<div class="notice problem" role="alert"><p>${text}</p><div class="ways">${buttons}</div></div>`;
}
