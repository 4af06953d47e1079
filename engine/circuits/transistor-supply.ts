import { type Stage, stage } from './circuit.ts';
import { capacitor, diode, electrolytic, resistor, supply } from './part-spec.ts';

const NEGATIVE_SERIES_ROLE =
  'Place for a series diode against a reversed supply, here in its minus line. It drops about 0.3 V (Schottky) or 0.6 V (silicon). An N-channel MOSFET drops almost nothing: leave this jumpered.';

/** The 9 V supply of a few transistors, which bias themselves, with its minus at ground. R17 and C11: 1/(2π·R17·C11) = 16 Hz. */
export const transistorSupplyStage = stage({
  id: 'supply',
  title: 'Supply',
  ports: { supply: [40, 2, 'right'], ground: 'flags' },
  parts: {
    V1: supply('9V', { at: [2, 8], turn: 90, role: 'Battery or regulated mains adapter.', job: 'supply' }),
    R22: resistor('10R', {
      at: [6, 2],
      fit: 'bridged',
      role: 'Internal resistance of the supply: jumpered for a regulated adapter, about 2 ohms in a new battery, 20 to 50 in an old one.',
      job: 'supply internal resistance',
    }),
    D7: diode('1N4001', {
      at: [10, 8],
      turn: 270,
      role: 'Protects against a reversed supply: it conducts then. No effect on the sound.',
      job: 'parallel reverse protection diode',
    }),
    D6: diode('1N5817', {
      at: [14, 2],
      fit: 'bridged',
      role: 'Place for a series diode against a reversed supply. It drops about 0.3 V (Schottky) or 0.6 V (silicon). A P-channel MOSFET drops almost nothing: leave this jumpered.',
      job: 'series reverse protection diode',
    }),
    R23: resistor('4k7', {
      at: [18, 6],
      turn: 90,
      fit: 'open',
      role: 'Sets the current of the status LED.',
      job: 'status LED resistor',
    }),
    D8: diode('LED-red', {
      at: [18, 11],
      turn: 90,
      fit: 'open',
      role: 'Status LED. It lowers the voltage of an old battery; no other effect on the sound.',
      job: 'status LED',
    }),
    R17: resistor('100R', {
      at: [23, 2],
      role: 'With C11 keeps hum off the supply. The current of the pedal drops some voltage across it.',
      job: 'supply filter resistor',
    }),
    C11: electrolytic('100u', {
      at: [26, 8],
      turn: 90,
      role: 'Holds the supply steady while the transistors draw current.',
      job: 'supply filter capacitor',
    }),
    C13: capacitor('100n', {
      at: [33, 8],
      turn: 90,
      role: 'Decoupling for radio frequencies. No effect on the sound here.',
      job: 'decoupling capacitor',
    }),
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

/** Pins that change places where the plus is at ground. */
const EXCHANGED = [
  ['V1.plus', 'V1.minus'],
  ['D6.anode', 'D6.cathode'],
  ['D7.anode', 'D7.cathode'],
  ['D8.anode', 'D8.cathode'],
  ['C11.1', 'C11.2'],
] as const;
const OTHER_PIN: ReadonlyMap<string, string> = new Map(
  EXCHANGED.flatMap(([one, other]) => [[one, other] as const, [other, one] as const]),
);

/** The same with its plus at ground: the rail is 9 V below it, and diodes and electrolytics are the other way round. */
export const positiveGroundSupplyStage: Stage = {
  ...transistorSupplyStage,
  title: 'Supply, positive ground',
  parts: {
    ...transistorSupplyStage.parts,
    V1: {
      ...transistorSupplyStage.parts.V1,
      turn: 270,
      role: 'Battery, or an adapter of its own: its plus is at ground, so it cannot feed pedals with their minus at ground too.',
    },
    D7: { ...transistorSupplyStage.parts.D7, turn: 90 },
    D6: { ...transistorSupplyStage.parts.D6, turn: 180, role: NEGATIVE_SERIES_ROLE },
    D8: { ...transistorSupplyStage.parts.D8, turn: 270 },
    C11: { ...transistorSupplyStage.parts.C11, turn: 270 },
  },
  wires: (transistorSupplyStage as Stage).wires.map((wire) => {
    const pins = ('pins' in wire ? wire.pins : wire).map((pin) => OTHER_PIN.get(pin) ?? pin);
    return 'pins' in wire ? { name: wire.name, pins } : pins;
  }),
};
