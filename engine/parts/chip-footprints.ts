import type { Footprint } from './footprint.ts';

const MEMORY = 'from memory';
const DUAL_LEGS = ['OUT A', '−A', '+A', 'V−', '+B', '−B', 'OUT B', 'V+'] as const;

/** A dual op-amp; all have the same pins. */
function dual(source: string, ...notes: readonly string[]): Footprint {
  return { package: 'DIP-8', outline: 'dip', legs: DUAL_LEGS, amplifiers: 2, source, notes };
}

/** A single op-amp. @param first,fifth,eighth Pins 1, 5 and 8, in which single types differ. */
function single(
  [first, fifth, eighth]: readonly [string, string, string],
  source: string,
  ...notes: readonly string[]
): Footprint {
  const legs = [first, '−', '+', 'V−', fifth, 'OUT', 'V+', eighth];
  return { package: 'DIP-8', outline: 'dip', legs, amplifiers: 1, source, notes };
}

/** A converter of the 7660 kind. @param first,sixth,seventh Pins 1, 6 and 7, in which they differ. */
function converter(
  [first, sixth, seventh]: readonly [string, string, string],
  source: string,
  ...notes: readonly string[]
): Footprint {
  const legs = [first, 'CAP+', 'GND', 'CAP−', 'OUT', sixth, seventh, 'V+'];
  return { package: 'DIP-8', outline: 'dip', legs, source, notes };
}

const BOOST = ['BOOST', 'LV', 'OSC'] as const;
const PLAIN = ['not connected', 'LV', 'OSC'] as const;
/** No circuit has these pins, so no drawing shows the capacitor. */
const COMPENSATED =
  'Needs a capacitor of about 30 pF between pins 1 and 8 (from memory), which is not drawn: without it, the chip oscillates.';
const COMPENSATED_FROM_3 =
  'Below a gain of 3 it needs a capacitor of about 22 pF between pins 5 and 8 (from memory), which is not drawn: without it, the chip oscillates.';
const OPEN_LV = 'Leave LV (pin 6) open above 3.5 V.';

/** By type. */
export const CHIP_FOOTPRINTS: ReadonlyMap<string, Footprint> = new Map([
  ['RC4558', dual(MEMORY)],
  ['BA4558', dual('ROHM BA4558')],
  ['NJM4558', dual(MEMORY)],
  ['MC1458', dual('Philips MC1458')],
  ['LM358', dual('onsemi LM358/D')],
  ['NJM4559', dual('TI SLOS074 for the 4559; NJM from memory')],
  ['NJM4560', dual(MEMORY)],
  ['TA75558', dual(MEMORY, 'TA75558S is a row of nine legs: it needs an adapter.')],
  ['NE5532', dual(MEMORY)],
  ['NJM4580', dual(MEMORY)],
  ['LM833', dual(MEMORY)],
  ['NJM2068', dual(MEMORY)],
  ['LM4562', dual(MEMORY)],
  ['MC33078', dual('ST MC33078')],
  ['OP275', dual(MEMORY)],
  ['TL072', dual('ST TL072')],
  ['TL082', dual(MEMORY)],
  ['TL062', dual(MEMORY)],
  ['LF353', dual(MEMORY)],
  ['OPA2134', dual(MEMORY)],
  ['OPA2604', dual(MEMORY)],
  ['TL072H', { ...dual(MEMORY), package: 'SO-8 (surface mount)', outline: 'surface' }],
  ['AD712', dual('Analog Devices AD712')],
  ['TLC2262', dual(MEMORY)],
  ['TLC2272', dual(MEMORY)],
  ['MCP6002', dual(MEMORY)],
  ['TLC272', dual('TI SLOS091E')],
  ['LM741', single(['offset', 'offset', 'not connected'], 'Intersil 741')],
  ['LM308A', single(['comp', 'not connected', 'comp'], 'Motorola LM308A/D', COMPENSATED)],
  ['OP07E', single(['offset', 'not connected', 'offset'], MEMORY)],
  ['NE5534', single(['balance', 'comp', 'balance, comp'], MEMORY, COMPENSATED_FROM_3)],
  ['TL071', single(['offset', 'offset', 'not connected'], MEMORY)],
  [
    'TC1044S',
    converter(BOOST, 'TelCom TC1044S for pin 1, Microchip DS21348A for LV; the rest from memory', OPEN_LV),
  ],
  ['TC7660S', converter(BOOST, MEMORY, OPEN_LV)],
  ['TC7662B', converter(BOOST, MEMORY, OPEN_LV)],
  ['LTC1144', converter(['BOOST', 'SHDN', 'OSC'], MEMORY, 'Pin 6 at ground switches it off: leave it open.')],
  ['MAX1044', converter(BOOST, 'Maxim 19-4667 for LV; the rest from memory', OPEN_LV)],
  ['ICL7660', converter(PLAIN, 'Maxim 19-4667 for LV; the rest from memory', OPEN_LV)],
  ['TC7660', converter(PLAIN, MEMORY, OPEN_LV)],
  ['MAX660', converter(['FC', 'LV', 'OSC'], MEMORY, 'FC (pin 1) at V+ makes it faster.')],
  [
    'LT1054',
    converter(['FB/SHDN', 'VREF', 'OSC'], MEMORY, 'Leave pins 1, 6 and 7 open: pin 1 switches it off.'),
  ],
  ['ICL7660S', converter(BOOST, MEMORY, OPEN_LV)],
  ['LTC1044A', converter(BOOST, MEMORY, OPEN_LV)],
]);
