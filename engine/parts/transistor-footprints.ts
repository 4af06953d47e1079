import type { Footprint } from './footprint.ts';

const MEMORY = 'from memory';
/** Common practice, no source. */
const HEAT = 'Germanium dies of heat: solder quickly, with a metal clip on the leg.';
const INTERCHANGEABLE = 'Drain and source are interchangeable.';

/** A TO-92. @param legs Flat side towards you, legs down, from left to right: "EBC". */
function flat(legs: string, source: string, ...notes: readonly string[]): Footprint {
  return { package: 'TO-92', outline: 'flat', legs: [...legs], source, notes };
}

/** A can with its legs in a circle. @param legs From below, clockwise from the tab or dot: "EBC". */
function can(name: string, legs: string, source: string, ...notes: readonly string[]): Footprint {
  return { package: name, outline: 'can', legs: [...legs], source, notes };
}

/**
 * By type. Sheets number the legs of a TO-92 from either end, so the order is written out for one view.
 */
export const TRANSISTOR_FOOTPRINTS: ReadonlyMap<string, Footprint> = new Map([
  ['2N3904', flat('EBC', 'AUK KST-9010-000')],
  ['2N3906', flat('EBC', 'Comchip 2N3906-G')],
  ['2N5088', flat('EBC', 'onsemi 2N5088/D')],
  ['2N5089', flat('EBC', 'onsemi 2N5088/D')],
  ['MPSA18', flat('EBC', 'onsemi MPSA18')],
  ['MPSA13', flat('EBC', MEMORY)],
  ['BC549C', flat('CBE', 'Motorola BC549B/D; Fairchild BC546-550')],
  ['BC550C', flat('CBE', 'Motorola BC549B/D; Fairchild BC546-550')],
  ['BC547B', flat('CBE', 'Fairchild BC546-550')],
  ['2SC1815', flat('ECB', 'Foshan Blue Rocket 2SC1815 rev E, which counts from the other end')],
  ['2SC945', flat('ECB', 'components101 "2SC945"', 'KTC945B is E B C.')],
  ['2N2222', can('TO-18 (metal can)', 'EBC', MEMORY, 'In TO-92, PN2222A is E B C and P2N2222A is C B E.')],
  ['BC108', can('TO-18 (metal can)', 'EBC', MEMORY, 'The can is the collector: keep it off other parts.')],
  ['AC128', can('TO-1 (metal can)', 'CBE', `${MEMORY}: the dot is at the collector`, HEAT)],
  ['OC44', can('Painted glass', 'CBE', `${MEMORY}: the dot is at the collector`, HEAT)],
  ['2N404', can('TO-5 (metal can)', 'EBC', MEMORY, HEAT)],
  ['2N1305', can('TO-5 (metal can)', 'EBC', MEMORY, HEAT)],
  ['AC125', can('TO-1 (metal can)', 'CBE', `${MEMORY}: the dot is at the collector`, HEAT)],
  ['AC126', can('TO-1 (metal can)', 'CBE', `${MEMORY}: the dot is at the collector`, HEAT)],
  ['J201', flat('DSG', 'Vishay 70233')],
  ['2N5457', flat('DSG', 'onsemi 2N5457/D', INTERCHANGEABLE)],
  ['2N5484', flat('DSG', MEMORY)],
  ['J113', flat('DSG', 'Vishay 70232; Philips J111-113, which counts from the other end')],
  ['2N5952', { ...flat('', MEMORY), legs: undefined }],
  ['BF245A', flat('GSD', MEMORY)],
  ['BF245B', flat('GSD', MEMORY)],
  ['2N5460', flat('SDG', MEMORY, INTERCHANGEABLE)],
  ['2N5461', flat('SDG', MEMORY, INTERCHANGEABLE)],
  ['2N5462', flat('SDG', MEMORY, INTERCHANGEABLE)],
  ['2N7000', flat('SGD', MEMORY, 'Its gate dies of static: touch ground first.')],
  ['BS170', flat('DGS', MEMORY, 'Its gate dies of static: touch ground first.')],
]);
