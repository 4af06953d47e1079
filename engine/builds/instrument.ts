import { GROUND } from '../devices/node.ts';
import { ofPart, ofPiece } from '../devices/origin.ts';
import { compose } from '../network/compose.ts';
import type { Network } from '../network/network.ts';
import { trackFraction } from '../units/taper.ts';

/** A pickup's coil: copper, inductance, the loss in its metal, and the capacitance between its own turns. */
export interface PickupData {
  readonly title: string;
  readonly ohms: number;
  readonly henries: number;
  /** Beside the inductance: eddy currents in magnets, cover and base plate. */
  readonly lossOhms: number;
  readonly farads: number;
  /** Usual volume and tone potentiometers of such a guitar. */
  readonly potOhms: number;
  readonly toneFarads: number;
}

/** Everything between the strings and the pedal. */
export interface Instrument {
  readonly pickup: PickupName;
  /** Rotations, 1 full up. */
  readonly volume: number;
  readonly tone: number;
  readonly cableMetres: number;
}

export type PickupName = 'single-coil' | 'humbucker';

/**
 * Common practice, no source: about 2.5 H and 4.5 H, 6 to 9 kΩ, 100 pF of winding; 250k with a single coil, 500k with
 * a humbucker; 47n and 22n at the tone control. The loss is an estimate: pickups differ by a factor of three, and one with a
 * metal cover loses most.
 */
export const PICKUPS: Readonly<Record<PickupName, PickupData>> = {
  'single-coil': {
    title: 'single-coil',
    ohms: 7000,
    henries: 2.5,
    lossOhms: 300e3,
    farads: 100e-12,
    potOhms: 250e3,
    toneFarads: 47e-9,
  },
  humbucker: {
    title: 'humbucker',
    ohms: 8000,
    henries: 4.5,
    lossOhms: 300e3,
    farads: 100e-12,
    potOhms: 500e3,
    toneFarads: 22e-9,
  },
};

/** Six metres and the winding have 700 pF together. */
export const USUAL_INSTRUMENT: Instrument = { pickup: 'single-coil', volume: 1, tone: 1, cableMetres: 6 };
/** Common practice, no source. */
export const CABLE_FARADS_PER_METRE = 100e-12;
/** Of a cable without length, so that a cable is a part in every network. */
export const LEAST_CABLE_FARADS = 1e-12;
export const LONGEST_CABLE_METRES = 30;
/** Remaining resistance at the ends of a track, Ω; from memory. */
const END_OHMS = 2;

/**
 * The network with a guitar before its input: coil with its winding's capacitance, tone control, volume control
 * (audio tracks), cable. The strings' voltage becomes the input.
 *
 *   f_0 ≈ 1/(2π·√(L·(C_winding + C_cable)))   with the volume full up
 */
export function withInstrument(network: Network, instrument: Instrument): Network {
  const guitar = guitarNetwork(instrument, network.temperatureK);
  const plug = [
    { unit: '', net: network.input },
    { unit: 'guitar', net: guitar.output },
  ];
  return compose(
    [
      { id: 'guitar', network: guitar },
      { id: '', network },
    ],
    [plug],
  ).network;
}

/** From the voltage that the strings induce to the plug of the cable. */
function guitarNetwork(instrument: Instrument, temperatureK: number): Network {
  const { ohms, henries, lossOhms, farads, potOhms, toneFarads } = PICKUPS[instrument.pickup];
  const volume = trackFraction('audio-15', instrument.volume);
  const tone = trackFraction('audio-15', instrument.tone);
  const cableFarads = Math.max(LEAST_CABLE_FARADS, instrument.cableMetres * CABLE_FARADS_PER_METRE);
  const [pickup, toneControl, volumeControl] = [ofPart('pickup'), ofPart('tone'), ofPart('volume')];
  const upper = ofPiece(volumeControl, 'upper');
  return {
    input: 'strings',
    output: 'plug',
    rails: [],
    temperatureK,
    primitives: [
      { kind: 'resistor', ...pickup, nodes: ['strings', 'coil'], ohms },
      { kind: 'inductor', ...ofPiece(pickup, 'coil'), nodes: ['coil', 'hot'], henries },
      { kind: 'resistor', ...ofPiece(pickup, 'loss'), nodes: ['coil', 'hot'], ohms: lossOhms },
      { kind: 'capacitor', ...ofPiece(pickup, 'winding'), nodes: ['hot', GROUND], farads },
      { kind: 'resistor', ...toneControl, nodes: ['hot', 'tone'], ohms: END_OHMS + tone * potOhms },
      {
        kind: 'capacitor',
        ...ofPiece(toneControl, 'capacitor'),
        nodes: ['tone', GROUND],
        farads: toneFarads,
      },
      { kind: 'resistor', ...upper, nodes: ['hot', 'plug'], ohms: END_OHMS + (1 - volume) * potOhms },
      { kind: 'resistor', ...volumeControl, nodes: ['plug', GROUND], ohms: END_OHMS + volume * potOhms },
      { kind: 'capacitor', ...ofPart('cable'), nodes: ['plug', GROUND], farads: cableFarads },
    ],
  };
}
