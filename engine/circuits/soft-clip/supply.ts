import { stage } from '../circuit.ts';
import { capacitor, diode, electrolytic, resistor, supply } from '../part-spec.ts';

/** The 9 V supply with its protection and filter, and half of it as bias for every stage. */
export const supplyStage = stage({
  id: 'supply',
  title: 'Supply and bias',
  ports: { supply: [50, 2, 'right'], bias: [50, 8, 'right'], ground: 'flags' },
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
    R17: resistor('10R', {
      at: [23, 2],
      role: 'With C11 keeps hum and the noise of other pedals off the supply.',
      job: 'supply filter resistor',
    }),
    C11: electrolytic('100u', {
      at: [26, 8],
      turn: 90,
      role: 'Holds the supply steady while the stages draw current.',
      job: 'supply filter capacitor',
    }),
    C13: capacitor('100n', {
      at: [33, 8],
      turn: 90,
      role: 'Decoupling: keeps an op-amp from oscillating on long supply wires. No effect on the sound here.',
      job: 'decoupling capacitor',
    }),
    R15: resistor('10k', {
      at: [44, 4],
      turn: 90,
      labels: 'left',
      role: 'Upper half of the divider that makes the bias.',
      job: 'upper bias divider resistor',
    }),
    R16: resistor('10k', {
      at: [44, 10],
      turn: 90,
      labels: 'left',
      role: 'Lower half of the divider that makes the bias.',
      job: 'lower bias divider resistor',
    }),
    C10: electrolytic('47u', {
      at: [47, 10],
      turn: 90,
      role: 'Holds the bias steady.',
      job: 'bias filter capacitor',
    }),
  },
  wires: [
    ['V1.plus', 'R22.1'],
    ['R22.2', 'D7.cathode', 'D6.anode'],
    { name: 'dc', pins: ['D6.cathode', 'R23.1', 'R17.1'] },
    ['R23.2', 'D8.anode'],
    ['R17.2', 'C11.1', 'C13.1', 'R15.1', 'supply'],
    ['R15.2', 'R16.1', 'C10.1', 'bias'],
    ['V1.minus', 'D7.anode', 'D8.cathode', 'C11.2', 'C13.2', 'R16.2', 'C10.2', 'ground'],
  ],
});
