import { matchesMedia } from '../media-query.ts';
import { keptTexts } from '../storage/kept-texts.ts';

const NAME = 'theme';

export type Theme = 'light' | 'dark';

/** What was chosen, else what the system prefers. */
export function readTheme(): Theme {
  const chosen = keptTexts.read(NAME);
  if (chosen === 'light' || chosen === 'dark') return chosen;
  return matchesMedia('(prefers-color-scheme: dark)') ? 'dark' : 'light';
}

export function writeTheme(theme: Theme): void {
  document.documentElement.dataset['theme'] = theme;
  keptTexts.keep(NAME, theme);
}
