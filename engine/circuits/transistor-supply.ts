import { stage } from './circuit.ts';
import { capacitor, diode, electrolytic, resistor, supply } from './part-spec.ts';

const INNER_ROLE =
  'Internal resistance of the supply: jumpered for a regulated adapter, about 2 ohms in a new battery, 20 to 50 in an old one.';
const REVERSED_ROLE = 'Protects against a reversed supply: it conducts then. No effect on the sound.';
const SERIES_ROLE =
  'Place for a series diode against a reversed supply. It drops about 0.3 V (Schottky) or 0.6 V (silicon). A P-channel MOSFET drops almost nothing: leave this jumpered.';
const NEGATIVE_SERIES_ROLE =
  'Place for a series diode against a reversed supply, here in its minus line. It drops about 0.3 V (Schottky) or 0.6 V (silicon). An N-channel MOSFET drops almost nothing: leave this jumpered.';
const LED_OHMS_ROLE = 'Sets the current of the status LED.';
const LED_ROLE = 'Status LED. It lowers the voltage of an old battery; no other effect on the sound.';
const FILTER_ROLE =
  'With C11 keeps hum off the supply. The current of the pedal drops some voltage across it.';
const HELD_ROLE = 'Holds the supply steady while the transistors draw current.';
const DECOUPLING_ROLE = 'Decoupling for radio frequencies. No effect on the sound here.';

/** The 9 V supply of a few transistors, which bias themselves, with its minus at ground. R17 and C11: 1/(2π·R17·C11) = 16 Hz. */
export const transistorSupplyStage = stage({
  id: 'supply',
  title: 'Supply',
  ports: { supply: [40, 2, 'right'], ground: 'flags' },
  parts: {
    V1: supply('9V', { at: [2, 8], turn: 90, role: 'Battery or regulated mains adapter.', job: 'supply' }),
    R22: resistor('10R', { at: [6, 2], fit: 'bridged', role: INNER_ROLE, job: 'supply internal resistance' }),
    D7: diode('1N4001', {
      at: [10, 8],
      turn: 270,
      role: REVERSED_ROLE,
      job: 'parallel reverse protection diode',
    }),
    D6: diode('1N5817', {
      at: [14, 2],
      fit: 'bridged',
      role: SERIES_ROLE,
      job: 'series reverse protection diode',
    }),
    R23: resistor('4k7', {
      at: [18, 6],
      turn: 90,
      fit: 'open',
      role: LED_OHMS_ROLE,
      job: 'status LED resistor',
    }),
    D8: diode('LED-red', { at: [18, 11], turn: 90, fit: 'open', role: LED_ROLE, job: 'status LED' }),
    R17: resistor('100R', { at: [23, 2], role: FILTER_ROLE, job: 'supply filter resistor' }),
    C11: electrolytic('100u', { at: [26, 8], turn: 90, role: HELD_ROLE, job: 'supply filter capacitor' }),
    C13: capacitor('100n', { at: [33, 8], turn: 90, role: DECOUPLING_ROLE, job: 'decoupling capacitor' }),
  },
  wires: [
    ['V1.plus', 'R22.1'],
    ['R22.2', 'D7.cathode', 'D6.anode'],
    { name: 'dc', pins: ['D6.cathode', 'R23.1', 'R17.1'] },
    ['R23.2', 'D8.anode'],
    ['R17.2', 'C11.1', 'C13.1', 'supply'],
    ['V1.minus', 'D7.anode', 'D8.cathode', 'C11.2', 'C13.2', 'ground'],
  ],
});

/** The same with its plus at ground: the rail is 9 V below it, and diodes and electrolytics are the other way round. */
export const positiveGroundSupplyStage = stage({
  id: 'supply',
  title: 'Supply, positive ground',
  ports: { supply: [40, 2, 'right'], ground: 'flags' },
  parts: {
    V1: supply('9V', {
      at: [2, 8],
      turn: 270,
      role: 'Battery, or an adapter of its own: its plus is at ground, so it cannot feed pedals with their minus at ground too.',
      job: 'supply',
    }),
    R22: resistor('10R', { at: [6, 2], fit: 'bridged', role: INNER_ROLE, job: 'supply internal resistance' }),
    D7: diode('1N4001', {
      at: [10, 8],
      turn: 90,
      role: REVERSED_ROLE,
      job: 'parallel reverse protection diode',
    }),
    D6: diode('1N5817', {
      at: [14, 2],
      turn: 180,
      fit: 'bridged',
      role: NEGATIVE_SERIES_ROLE,
      job: 'series reverse protection diode',
    }),
    R23: resistor('4k7', {
      at: [18, 6],
      turn: 90,
      fit: 'open',
      role: LED_OHMS_ROLE,
      job: 'status LED resistor',
    }),
    D8: diode('LED-red', { at: [18, 11], turn: 270, fit: 'open', role: LED_ROLE, job: 'status LED' }),
    R17: resistor('100R', { at: [23, 2], role: FILTER_ROLE, job: 'supply filter resistor' }),
    C11: electrolytic('100u', { at: [26, 8], turn: 270, role: HELD_ROLE, job: 'supply filter capacitor' }),
    C13: capacitor('100n', { at: [33, 8], turn: 90, role: DECOUPLING_ROLE, job: 'decoupling capacitor' }),
  },
  wires: [
    ['V1.minus', 'R22.1'],
    ['R22.2', 'D7.anode', 'D6.cathode'],
    { name: 'dc', pins: ['D6.anode', 'R23.1', 'R17.1'] },
    ['R23.2', 'D8.cathode'],
    ['R17.2', 'C11.2', 'C13.1', 'supply'],
    ['V1.plus', 'D7.cathode', 'D8.anode', 'C11.1', 'C13.2', 'ground'],
  ],
});
