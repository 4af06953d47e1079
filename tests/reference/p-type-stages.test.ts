import { GROUND } from '../../engine/devices/node.ts';
import type { Network } from '../../engine/network/network.ts';
import { findBjt, findFet } from '../../engine/parts/catalogue.ts';
import { bipolar, capacitor, fieldEffect, network, resistor, source } from '../unit/small-networks.ts';
import { describeStages } from './netlist-stages.ts';

/** Amplifiers on a supply of 9 V with the emitter or source at the upper end. */
const STAGES: Readonly<Record<string, Network>> = {
  pnp: network([
    source('vcc', 9),
    capacitor('C1', 'in', 'base', 1e-6),
    resistor('R1', 'vcc', 'base', 27e3),
    resistor('R2', 'base', GROUND, 120e3),
    resistor('R3', 'vcc', 'emitter', 1e3),
    capacitor('C2', 'vcc', 'emitter', 10e-6),
    resistor('R4', 'out', GROUND, 4.7e3),
    bipolar('pnp', 'Q1', ['out', 'base', 'emitter'], findBjt('2N3906').data),
  ]),
  // With positive ground, driven until it saturates: its leak has both signs.
  germanium: network([
    source('vee', -9),
    resistor('RS', 'in', 'source', 10e3),
    capacitor('C1', 'source', 'base', 1e-6),
    resistor('R1', 'vee', 'base', 470e3),
    resistor('R2', 'base', GROUND, 68e3),
    resistor('R3', 'vee', 'out', 6.8e3),
    bipolar('pnp', 'Q1', ['out', 'base', GROUND], findBjt('AC128').data),
  ]),
  pJfet: network([
    source('vcc', 9),
    capacitor('C1', 'in', 'gate', 10e-9),
    resistor('R1', 'vcc', 'gate', 1e6),
    resistor('R2', 'vcc', 'source', 1.5e3),
    capacitor('C2', 'vcc', 'source', 10e-6),
    resistor('R3', 'out', GROUND, 4.7e3),
    fieldEffect('pJfet', 'Q1', ['out', 'gate', 'source'], findFet('2N5460').data),
  ]),
};

describeStages('p-type', STAGES);
