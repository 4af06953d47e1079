import { keptTexts } from '../storage/kept-texts.ts';

const NAME = 'solder-section';

/** Sections of the view Solder, in the order of the work. */
export const SOLDER_SECTIONS = [
  ['sheet', 'Bench sheet'],
  ['wiring', 'Wiring'],
  ['voltages', 'Voltages'],
  ['log', 'Mod log'],
] as const;
export type SolderSection = (typeof SOLDER_SECTIONS)[number][0];

/** The one that was open last, else the voltages. */
export function readSolderSection(): SolderSection {
  const kept = keptTexts.read(NAME);
  return SOLDER_SECTIONS.find(([section]) => section === kept)?.[0] ?? 'voltages';
}

export function keepSolderSection(section: SolderSection): void {
  keptTexts.keep(NAME, section);
}
