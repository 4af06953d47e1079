import { GROUND } from '../../engine/devices/node.ts';
import type { Network } from '../../engine/network/network.ts';
import { findDiode } from '../../engine/parts/catalogue.ts';
import { capacitor, diode, network, resistor, source } from '../unit/small-networks.ts';
import { describeStages } from './netlist-stages.ts';

/** Diodes whose charge decides: behind much resistance, conducting a little at rest. */
const STAGES: Readonly<Record<string, Network>> = {
  'two LEDs against one': network([
    source('vcc', 9),
    resistor('R1', 'vcc', 'out', 2.2e6),
    capacitor('C1', 'in', 'side', 1e-6),
    resistor('R2', 'side', 'out', 470e3),
    diode('D1', ['out', GROUND], findDiode('LED-red').data),
    diode('D2', [GROUND, 'out'], findDiode('LED-blue').data, 2),
  ]),
  'a rectifier': network([
    source('vcc', 9),
    resistor('R1', 'vcc', 'out', 100e3),
    resistor('R2', 'in', 'out', 2.2e3),
    diode('D1', ['out', GROUND], findDiode('1N4001').data),
    diode('D2', [GROUND, 'out'], findDiode('1N4148').data),
  ]),
};

describeStages('charge', STAGES);
