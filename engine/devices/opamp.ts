import type { DeviceModel, DeviceNoise } from './device-model.ts';
import { input } from './formula.ts';
import type { Opamp } from './opamp-data.ts';
import {
  COMMON_MODE_SHIFT,
  OPAMP_PARAMETERS,
  OPAMP_REVERSAL,
  opampLimitedStep,
  opampStep,
} from './opamp-equations.ts';
import { netlistWords } from './opamp-netlist.ts';

/** Datasheets give noise densities at this frequency, Hz. */
const NOISE_HZ = 1000;

const [PLUS, MINUS] = [0, 1];

export const OPAMP: DeviceModel<Opamp> = {
  parameters: OPAMP_PARAMETERS,
  numbersOf: ({ data }) => [
    2 * Math.PI * data.gainBandwidthHz,
    data.slewVPerS,
    data.openLoopGain,
    data.headroomHighV,
    data.headroomLowV,
    data.inputBiasA,
    data.quiescentA,
    // Used only for types with a range.
    data.commonMode?.headroomHighV ?? 0,
    data.commonMode?.headroomLowV ?? 0,
    data.commonMode?.reverses ? OPAMP_REVERSAL : 1,
    // Used only for types with an output under load.
    data.underLoad?.saturationOhms ?? 0,
    data.underLoad?.sourceLimitA ?? 1,
    data.underLoad?.sinkLimitA ?? 1,
    0,
  ],
  structureOf: ({ data }) => `${data.commonMode ? 'ranged' : ''}${data.underLoad ? ' loadable' : ''}`,
  dcPaths: [],
  carriesOneCurrent: () => false,
  // Its pins are current sources.
  conductanceBounds: () => [],
  // Its drift is far below that of a junction.
  atTemperature: (opamp) => opamp,
  netlistWords,
  noiseSources,
  ports: [[PLUS, MINUS]],
  equations: {
    currents: ([vd]) => [opampStep(vd!, input('history'), input('high'), input('low'))],
    limitedSteps: ([vd], [step]) => [
      opampLimitedStep(vd!, step!, input('history'), input('high'), input('low')),
    ],
    others: [COMMON_MODE_SHIFT],
    junctions: [],
    hasEdges: false,
  },
};

/** The sheet's voltage in series with an input, its current into each input. */
function noiseSources({ noise }: Opamp): readonly DeviceNoise[] {
  if (!noise) return [];
  const current = {
    kind: 'current noise',
    unit: 'A',
    ...white(noise.currentAt1kHzAPerRtHz, noise.currentCornerHz),
  } as const;
  return [
    {
      kind: 'voltage noise',
      unit: 'V',
      into: 'input',
      ...white(noise.voltageAt1kHzVPerRtHz, noise.voltageCornerHz),
    },
    { ...current, into: [[PLUS, 1]] },
    { ...current, into: [[MINUS, 1]] },
  ];
}

/** Squared density far above the corner from the density at 1 kHz. */
function white(at1kHz: number, cornerHz: number): { density: number; cornerHz: number } {
  return { density: (at1kHz * at1kHz) / (1 + cornerHz / NOISE_HZ), cornerHz };
}
