import '../tokens.css';
import { readTheme, writeTheme } from '../state/theme.ts';
import { isBlank } from './blank-page.ts';
import { missingFeature } from './missing-features.ts';
import { showRescuePage } from './rescue-page.ts';

/** Delay before the check of the page, since errors of drawing components come a moment later. */
const LOOK_AFTER_MS = 50;
/** Longest reason, one line. */
const MOST_CHARACTERS = 160;

/**
 * Loads the bench. Missing features and errors lead to a page that says so, never to an empty page. It does not
 * wait: the bench shares modules with this script, and would wait for its end.
 */
export function openBench(load: () => Promise<unknown>): void {
  writeTheme(readTheme());
  const missing = missingFeature();
  if (missing !== undefined) {
    showRescuePage(missing);
    return;
  }
  let hasOpened = false;
  let reason: unknown = 'it draws nothing';
  const look = () => setTimeout(() => hasOpened && lookAtPage(reason), LOOK_AFTER_MS);
  const note = (error: unknown) => {
    reason = error;
    look();
  };
  addEventListener('error', ({ error, message }) => note(error ?? message));
  addEventListener('unhandledrejection', (event) => note(event.reason));
  load().then(
    () => {
      hasOpened = true;
      look();
    },
    (error: unknown) => showRescuePage(`Cliplead could not start (${reasonOf(error)}).`),
  );
}

/** An error that leaves the page complete does not replace it. */
function lookAtPage(reason: unknown): void {
  const bench = document.querySelector('cliplead-bench');
  if (!isBlank(bench)) return;
  const what = bench?.shadowRoot ? 'A part of the page could not be shown' : 'Cliplead could not start';
  showRescuePage(`${what} (${reasonOf(reason)}).`);
}

function reasonOf(error: unknown): string {
  const text = error instanceof Error ? error.message : String(error);
  const line = text.replace(/\s+/g, ' ').trim();
  return line.length > MOST_CHARACTERS ? `${line.slice(0, MOST_CHARACTERS)}…` : line;
}
