import type { View } from './state/bench-state.ts';

/** Where the bench is turned to: its views, the pages of a phone, and what stands on the left. */

export const VIEWS: readonly (readonly [view: View, title: string])[] = [
  ['bench', 'Bench'],
  ['ear', 'By ear'],
  ['solder', 'Solder'],
];

export type LeftView = 'schematic' | 'list' | 'order';
export const LEFT_VIEWS = [
  ['schematic', 'Schematic'],
  ['list', 'Parts by stage'],
  ['order', 'Parts list'],
] as const;

/** What fills a phone, one at a time; `ear` and `solder` are the views By ear and Solder. */
export const PAGES = [
  ['play', 'Play'],
  ['part', 'Part'],
  ['circuit', 'Circuit'],
  ['controls', 'Controls'],
  ['plots', 'Plots'],
  ['sound', 'Sound'],
  ['ear', 'Ear'],
  ['solder', 'Solder'],
] as const;
export type Page = (typeof PAGES)[number][0];
/** A page of the view Bench. */
export type BenchPage = Exclude<Page, OtherView>;
/** The views that are one page. */
export type OtherView = Exclude<View, 'bench'>;

export function isOtherView(page: Page): page is OtherView {
  return page === 'ear' || page === 'solder';
}

export const PAGES_WITH_PLOTS: ReadonlySet<Page> = new Set(['play', 'plots']);
export const PHONE = '(max-width: 740px)';
