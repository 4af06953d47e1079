const KEY = 'cliplead-theme';

export type Theme = 'light' | 'dark';

/** What was chosen, else what the system prefers. */
export function readTheme(): Theme {
  const chosen = localStorage.getItem(KEY);
  if (chosen === 'light' || chosen === 'dark') return chosen;
  return matchMedia('(prefers-color-scheme: dark)').matches ? 'dark' : 'light';
}

export function writeTheme(theme: Theme): void {
  document.documentElement.dataset['theme'] = theme;
  localStorage.setItem(KEY, theme);
}
