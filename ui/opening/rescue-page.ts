import { databaseReason, deleteDatabase } from '../storage/database.ts';
import { forgetNotes, forgetTexts } from '../storage/kept-texts.ts';
import { type KeptFile, keptFiles } from './kept-files.ts';
import './rescue-page.css';

/**
 * Page in place of a bench that cannot be shown: one sentence, the stored data as files, and a fresh start. It
 * uses nothing of the bench, and only features of every browser.
 */
export function showRescuePage(sentence: string): void {
  if (document.querySelector('.rescue')) return;
  const page = document.createElement('main');
  page.className = 'rescue';
  page.innerHTML = `
    <h1>Cliplead</h1>
    <p role="alert"></p>
    <div class="ways">
      <button data-way="reload">Reload</button>
      <button data-way="save">Save my data</button>
      <button data-way="afresh">Start afresh…</button>
    </div>
    <section data-part="files" aria-live="polite" hidden></section>
    <form data-part="afresh" hidden>
      <p>This removes the builds and all settings of Cliplead from this browser. Save your data first.</p>
      <label><input type="checkbox" /> Remove the riffs too</label>
      <div class="ways"><button>Remove and start afresh</button><button type="button" data-way="cancel">Cancel</button></div>
    </form>`;
  page.querySelector('p')!.textContent = sentence;
  on(page, '[data-way="reload"]', () => location.reload());
  on(page, '[data-way="save"]', () => void offerFiles(part(page, 'files')));
  on(page, '[data-way="afresh"]', () => part(page, 'afresh').toggleAttribute('hidden'));
  on(page, '[data-way="cancel"]', () => part(page, 'afresh').setAttribute('hidden', ''));
  part(page, 'afresh').addEventListener('submit', (event) => {
    event.preventDefault();
    void startAfresh(page, page.querySelector('input')!.checked);
  });
  document.querySelector('.loading')?.remove();
  document.body.prepend(page);
}

function part(page: HTMLElement, name: string): HTMLElement {
  return page.querySelector<HTMLElement>(`[data-part="${name}"]`)!;
}

function on(page: HTMLElement, selector: string, press: () => void): void {
  page.querySelector(selector)!.addEventListener('click', press);
}

/** Saves every file, and leaves a link to each, since a browser may stop all but the first. */
async function offerFiles(list: HTMLElement): Promise<void> {
  const { files, trouble } = await keptFiles();
  const text =
    files.length === 0
      ? 'Nothing is kept in this browser.'
      : 'What the browser did not save by itself is here:';
  const sentence = document.createElement('p');
  sentence.textContent = trouble === undefined ? text : `${trouble} ${text}`;
  const links = files.map(linkTo);
  list.replaceChildren(sentence, ...links);
  list.removeAttribute('hidden');
  for (const link of links) link.click();
}

function linkTo({ name, content }: KeptFile): HTMLAnchorElement {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(content);
  link.download = name;
  link.textContent = name;
  return link;
}

async function startAfresh(page: HTMLElement, withRiffs: boolean): Promise<void> {
  try {
    forgetTexts();
    forgetNotes();
    if (withRiffs) await deleteDatabase();
    location.reload();
  } catch (error) {
    page.querySelector('p')!.textContent = `Not everything could be removed: ${databaseReason(error)}.`;
  }
}
