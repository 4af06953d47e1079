import { readFileSync } from 'node:fs';
import { OUTPUT_RATE_HZ, REACH } from './band-limit.ts';
import type { SignalDescription } from './signals.ts';

export const SOFT_CLIP_PRESETS = [
  'soft-plain',
  'soft-plain-revision-1',
  'soft-led',
  'soft-germanium',
  'soft-asymmetric',
  'soft-linear-tone',
  'soft-lifted',
] as const;
export const CLEAN_BLEND_PRESETS = [
  'clean-plain',
  'clean-plain-revision-1',
  'clean-single',
  'clean-silicon',
  'clean-separate',
  'clean-midlift',
] as const;
export const HARD_CLIP_PRESETS = ['hard-plain'] as const;

/**
 * Presets that have a vector file, made by generate.py in this folder, and one build of the first revision of each circuit.
 */
export const REFERENCE_PRESETS = [
  ...SOFT_CLIP_PRESETS,
  ...CLEAN_BLEND_PRESETS,
  ...HARD_CLIP_PRESETS,
] as const;
export type ReferencePreset = (typeof REFERENCE_PRESETS)[number];

/** Presets that have a second file, with their knobs at other positions. */
export const KNOB_PRESETS = ['soft-plain', 'soft-lifted', 'clean-plain', 'clean-separate'] as const;
export type KnobPreset = (typeof KNOB_PRESETS)[number];

/** Device data that the reference used: keys of the network's device data, and its type. */
type DeviceNumbers = Readonly<Record<string, number | string>>;

/** The two parts of each potentiometer's resistance by reference designator, ohms. */
export type Tracks = Readonly<
  Record<string, { readonly ccwWiperOhms: number; readonly wiperCwOhms: number }>
>;

/** Every number with which the reference solved. */
export interface ReferenceNumbers {
  readonly temperatureK: number;
  readonly junctionMinS: number;
  /** Position of each switch by its name. */
  readonly switches: Readonly<Record<string, string>>;
  /** Reference designator → ohms, farads or volts. */
  readonly parts: Readonly<Record<string, number>>;
  readonly tracks: Tracks;
  /** Reference designator → data. */
  readonly devices: Readonly<Record<string, DeviceNumbers>>;
}

/** One band-limited output, at 48 kHz from the time REACH/48 kHz. */
export interface WaveVector {
  readonly name: string;
  readonly input: SignalDescription;
  readonly durationSeconds: number;
  /** Volts; sample j is at (REACH + j)/48 kHz. */
  readonly outputV: Float64Array;
}

/** The reference's results at one position of the knobs. */
interface Solved {
  /** Node name → volts at rest. */
  readonly operatingPointV: Readonly<Record<string, number>>;
  /** Small-signal gain from input to output; phase within ±180°. All of the same length. */
  readonly response: {
    readonly frequenciesHz: Float64Array;
    readonly magnitudeDb: Float64Array;
    readonly phaseDeg: Float64Array;
  };
  readonly waves: readonly WaveVector[];
}

/** All results of the reference for one preset. */
export interface PresetVectors extends Solved {
  readonly numbers: ReferenceNumbers;
}

/** The same preset with other knob positions. */
export interface KnobVectors extends Solved {
  /** Rotation by name of the knobs that differ from the preset. */
  readonly knobs: Readonly<Record<string, number>>;
  /** For example "gain=0 tone=0". */
  readonly title: string;
  readonly tracks: Tracks;
}

/** Sample values that check signals.ts and band-limit.ts against their Python counterparts. */
export interface SharedVectors {
  readonly timesSeconds: Float64Array;
  readonly signals: readonly {
    readonly name: string;
    readonly input: SignalDescription;
    readonly volts: Float64Array;
  }[];
  readonly kernel: { readonly tausSeconds: Float64Array; readonly values: Float64Array };
  readonly bandLimited: {
    readonly input: SignalDescription;
    readonly durationSeconds: number;
    readonly factor: number;
    readonly samples: Float64Array;
  };
}

/** Diode clipper of one capacitor and an antiparallel pair; source in diode_clipper.py. */
export interface DiodeClipperVectors {
  readonly ohms: number;
  readonly farads: number;
  readonly saturationCurrentA: number;
  readonly emissionTimesThermalVoltageV: number;
  readonly static: readonly { readonly inputV: number; readonly outputV: number }[];
  /** Response to 0 → 1 V at t = 0. */
  readonly step: readonly { readonly seconds: number; readonly outputV: number }[];
  /** Steady state; harmonics are relative to the fundamental's peak, as is the distortion (THD_F, a ratio). */
  readonly sines: readonly {
    readonly peakV: number;
    readonly frequencyHz: number;
    readonly outputPeakV: number;
    readonly outputRmsV: number;
    readonly fundamentalV: number;
    readonly harmonicsDbc: { readonly h3: number; readonly h5: number; readonly h7: number };
    readonly thdOfFundamental: number;
  }[];
}

interface WavesHeader {
  readonly sampleRateHz: number;
  readonly firstIndex: number;
}

type WaveEntry = SignalDescription & {
  readonly name: string;
  readonly durationSeconds: number;
  readonly samplesBase64: string;
};

interface SolvedEntry {
  readonly operatingPointV: Readonly<Record<string, number>>;
  readonly response: {
    readonly firstHz: number;
    readonly lastHz: number;
    readonly count: number;
    readonly magnitudeDbBase64: string;
    readonly phaseDegBase64: string;
  };
}

interface PresetFile extends SolvedEntry {
  readonly numbers: ReferenceNumbers;
  readonly waves: WavesHeader & { readonly vectors: readonly WaveEntry[] };
}

interface KnobFile {
  readonly waves: WavesHeader;
  readonly positions: readonly (SolvedEntry & {
    readonly knobs: Readonly<Record<string, number>>;
    readonly tracks: Tracks;
    readonly vectors: readonly WaveEntry[];
  })[];
}

interface SharedFile {
  readonly timesSecondsBase64: string;
  readonly signals: readonly (SignalDescription & { readonly name: string; readonly voltsBase64: string })[];
  readonly kernel: { readonly tausSecondsBase64: string; readonly valuesBase64: string };
  readonly bandLimited: SignalDescription & {
    readonly durationSeconds: number;
    readonly factor: number;
    readonly samplesBase64: string;
  };
}

/** Reads and decodes the vectors of a preset. Throws if the file does not fit the low-pass. */
export function loadPresetVectors(preset: ReferencePreset): PresetVectors {
  const file = readJson(preset) as PresetFile;
  checkInstants(preset, file.waves);
  return { numbers: file.numbers, ...decodeSolved(file, file.waves.vectors) };
}

/**
 * Reads and decodes the vectors of a preset with its knobs at other positions. Throws if the file does not fit the
 * low-pass.
 */
export function loadKnobVectors(preset: KnobPreset): readonly KnobVectors[] {
  const file = readJson(`${preset}-knobs`) as KnobFile;
  checkInstants(`${preset}-knobs`, file.waves);
  return file.positions.map(({ knobs, tracks, vectors, ...solved }) => ({
    knobs,
    title: Object.entries(knobs)
      .map(([knob, rotation]) => `${knob}=${rotation}`)
      .join(' '),
    tracks,
    ...decodeSolved(solved, vectors),
  }));
}

/** Reads and decodes the sample values of signals and low-pass. */
export function loadSharedVectors(): SharedVectors {
  const file = readJson('shared') as SharedFile;
  return {
    timesSeconds: decodeFloat64(file.timesSecondsBase64),
    signals: file.signals.map((signal) => ({
      name: signal.name,
      input: signal,
      volts: decodeFloat64(signal.voltsBase64),
    })),
    kernel: {
      tausSeconds: decodeFloat64(file.kernel.tausSecondsBase64),
      values: decodeFloat64(file.kernel.valuesBase64),
    },
    bandLimited: {
      input: file.bandLimited,
      durationSeconds: file.bandLimited.durationSeconds,
      factor: file.bandLimited.factor,
      samples: decodeFloat64(file.bandLimited.samplesBase64),
    },
  };
}

/** Reads the published numbers of the diode clipper. */
export function loadDiodeClipperVectors(): DiodeClipperVectors {
  return readJson('diode-clipper') as DiodeClipperVectors;
}

function checkInstants(file: string, { sampleRateHz, firstIndex }: WavesHeader): void {
  if (sampleRateHz !== OUTPUT_RATE_HZ || firstIndex !== REACH)
    throw new RangeError(`${file}: vectors at ${sampleRateHz} Hz from ${firstIndex}`);
}

function decodeSolved({ operatingPointV, response }: SolvedEntry, vectors: readonly WaveEntry[]): Solved {
  const { firstHz, lastHz, count } = response;
  const frequencyHz = (index: number) => firstHz * (lastHz / firstHz) ** (index / (count - 1));
  return {
    operatingPointV,
    response: {
      frequenciesHz: Float64Array.from({ length: count }, (_, index) => frequencyHz(index)),
      magnitudeDb: decodeFloat64(response.magnitudeDbBase64),
      phaseDeg: decodeFloat64(response.phaseDegBase64),
    },
    waves: vectors.map((vector) => ({
      name: vector.name,
      input: vector,
      durationSeconds: vector.durationSeconds,
      outputV: decodeFloat32(vector.samplesBase64),
    })),
  };
}

function readJson(name: string): unknown {
  return JSON.parse(readFileSync(new URL(`./vectors/${name}.json`, import.meta.url), 'utf8'));
}

function decodeFloat64(base64: string): Float64Array {
  return decode(base64, 8, (view, offset) => view.getFloat64(offset, true));
}

function decodeFloat32(base64: string): Float64Array {
  return decode(base64, 4, (view, offset) => view.getFloat32(offset, true));
}

function decode(
  base64: string,
  bytesEach: number,
  read: (view: DataView, offset: number) => number,
): Float64Array {
  const bytes = Buffer.from(base64, 'base64');
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  return Float64Array.from({ length: bytes.byteLength / bytesEach }, (_, k) => read(view, k * bytesEach));
}
