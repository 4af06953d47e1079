/**
 * The network as the solver sees it: primitives between named nodes, in SI units.
 *
 * Everything that a build says (fits, counts, potentiometer positions, switch positions) is already
 * resolved here; what is left is an electrical network that an outsider could solve with other software.
 */

/** Constants of the International System, exact since its 2019 revision. */
export const BOLTZMANN_J_PER_K = 1.380649e-23;
export const ELEMENTARY_CHARGE_C = 1.602176634e-19;

/** 27 °C, the temperature at which makers extract device data; thermal voltage 25.8649 mV. */
export const NOMINAL_TEMPERATURE_K = 300.15;

/** kT/q in volts. */
export function thermalVoltage(temperatureK: number): number {
  return (BOLTZMANN_J_PER_K * temperatureK) / ELEMENTARY_CHARGE_C;
}

/** A node is known by its name; `GROUND` is the reference. */
export type NodeName = string;
export const GROUND: NodeName = '0';

/**
 * Shockley junction with series resistance, `count` alike in series:
 *
 *   i = I_S·(exp(vj / (count·n·V_T)) − 1) + G_min·vj          v = vj + count·R_S·i
 *
 * and a constant capacitance `zeroBiasCapacitanceF / count` across the whole string.
 */
export interface DiodeData {
  readonly saturationCurrentA: number;
  readonly emissionCoefficient: number;
  readonly seriesOhms: number;
  readonly zeroBiasCapacitanceF: number;
  /** How it moves with temperature; as silicon does where nothing is said. Data are at the network's temperature. */
  readonly thermal?: JunctionThermal;
}

/**
 * What moves a junction with temperature: the energy gap E_g that its carriers climb and the exponent X of its
 * saturation current, or, in breakdown, a shift of the whole curve. Equations in temperature.ts.
 */
export type JunctionThermal =
  | { readonly by: 'gap'; readonly energyGapEv: number; readonly saturationExponent: number }
  | { readonly by: 'breakdown'; readonly voltsPerK: number };

/**
 * Ebers-Moll transistor in its transport form, with forward Early effect.
 *
 *   i_F = I_S·(exp(v_BE/V_T) − 1)     i_R = I_S·(exp(v_BC/V_T) − 1)
 *   i_C = (i_F − i_R)·(1 − v_BC/V_A) − i_R/β_R       i_B = i_F/β_F + i_R/β_R
 *
 * For a PNP all voltages and currents change sign.
 */
export interface BjtData {
  readonly saturationCurrentA: number;
  readonly forwardBeta: number;
  readonly reverseBeta: number;
  readonly earlyV: number;
  /** Energy gap; that of silicon where nothing is said. */
  readonly energyGapEv?: number;
}

/**
 * Square-law field-effect transistor (Shichman-Hodges), symmetric in drain and source:
 *
 *   v_DS ≥ 0, u = v_GS − V_to > 0:   i_D = β·(1 + λ·v_DS)·(u² if v_DS ≥ u, else v_DS·(2u − v_DS))
 *
 * A JFET has gate junctions to drain and source of saturation current `gateSaturationCurrentA`;
 * a MOSFET has none (0), and its body diode is a part of its own.
 */
export interface FetData {
  readonly betaAPerV2: number;
  readonly thresholdV: number;
  readonly lambdaPerV: number;
  readonly gateSaturationCurrentA: number;
  /** Drift of the threshold; that of its kind where nothing is said. */
  readonly thresholdVPerK?: number;
}

/**
 * Op-amp as one integrator with slew limit and soft rails. x is the output voltage, vd = v+ − v−,
 * w = 2π·gainBandwidthHz, S = slewVPerS, and the rails lie `headroomHighV` below the positive and
 * `headroomLowV` above the negative supply pin, mid between them:
 *
 *   dx/dt = S·s(w·vd/S) − (w/A0)·(x − mid) − (S/0.1 V)·(q(x − high) − q(low − x))
 *   s(u) = u/√(1 + u²)        q(e) = 0 | e²/(2k) | e − k/2   for e ≤ 0 | ≤ k | > k,  k = OPAMP_KNEE_V
 *
 * Where it matters that a type's inputs leave their range, `commonMode` says where: vd is then c(v+) − v−,
 *
 *   c(v) = v − q(v − H) + a·q(L − v)     a = 1, or OPAMP_REVERSAL where the type turns its output round
 *
 * with H and L in the same way below the positive and above the negative supply pin. The inverting input is taken to be
 * in range: feedback holds it where the other one is.
 *
 * `inputBiasA` flows into each input pin (negative: out of it). `quiescentA` flows from the positive to
 * the negative supply pin (below OPAMP_STARTING_V between them in proportion to what there is); what the output sources
 * comes from the positive pin, what it sinks goes to the negative one (below OPAMP_LEAST_V in proportion likewise).
 */
export interface OpampData {
  readonly gainBandwidthHz: number;
  readonly slewVPerS: number;
  readonly openLoopGain: number;
  readonly headroomHighV: number;
  readonly headroomLowV: number;
  readonly inputBiasA: number;
  readonly quiescentA: number;
  /** Absent where the output limits first and nothing turns round. */
  readonly commonMode?: CommonModeRange;
}

/** How far an op-amp's non-inverting input may go towards its supply pins. */
export interface CommonModeRange {
  readonly headroomHighV: number;
  readonly headroomLowV: number;
  /** Below the range the output goes to its high limit instead of following. */
  readonly reverses: boolean;
}

/**
 * Noise of an op-amp referred to its inputs, as datasheets give it: one voltage in series with an input, and a
 * current into each input, unrelated to each other. With S the squared density and f_c its corner
 *
 *   S(f) = S(1 kHz)·(1 + f_c/f)/(1 + f_c/1 kHz)
 */
export interface OpampNoise {
  readonly voltageAt1kHzVPerRtHz: number;
  readonly voltageCornerHz: number;
  readonly currentAt1kHzAPerRtHz: number;
  readonly currentCornerHz: number;
}

/** What a volt below the common-mode range counts for, upwards, in a type that reverses: the turn is abrupt. */
export const OPAMP_REVERSAL = 100;
/** Width of the quadratic knee of an op-amp's output limit, V. */
export const OPAMP_KNEE_V = 0.1;
/** Below this between its supply pins an op-amp draws its quiescent current only in proportion, V. */
export const OPAMP_STARTING_V = 2;
/** No op-amp of the catalogue starts below this; what it delivers it then takes from its supply only in proportion, V. */
export const OPAMP_LEAST_V = 1;
/** Past the rails the limit takes the whole slew current at this excess, V. */
export const OPAMP_CLAMP_V = 0.1;
/** Conductance across every diode junction, so that no node between junctions floats, S. */
export const JUNCTION_MIN_S = 1e-12;

interface PrimitiveBase {
  /** Reference designator of the part that it came from, with a suffix where a part has several. */
  readonly ref: string;
}
export interface Resistor extends PrimitiveBase {
  readonly kind: 'resistor';
  readonly nodes: readonly [NodeName, NodeName];
  readonly ohms: number;
  /** Half of a potentiometer's track: on its way to another value it moves in proportion, as a wiper does. */
  readonly isTrack?: true;
}
export interface Capacitor extends PrimitiveBase {
  readonly kind: 'capacitor';
  readonly nodes: readonly [NodeName, NodeName];
  readonly farads: number;
}
export interface Inductor extends PrimitiveBase {
  readonly kind: 'inductor';
  readonly nodes: readonly [NodeName, NodeName];
  readonly henries: number;
}
/** Ideal source; the negative terminal must be ground. */
export interface VoltageSource extends PrimitiveBase {
  readonly kind: 'voltageSource';
  readonly nodes: readonly [plus: NodeName, minus: NodeName];
  readonly volts: number;
}
export interface DiodeString extends PrimitiveBase {
  readonly kind: 'diode';
  readonly nodes: readonly [anode: NodeName, cathode: NodeName];
  readonly count: number;
  readonly data: DiodeData;
}
export interface Bjt extends PrimitiveBase {
  readonly kind: 'npn' | 'pnp';
  readonly nodes: readonly [collector: NodeName, base: NodeName, emitter: NodeName];
  readonly data: BjtData;
  /** Base resistance, ohms: a source of noise only, since the equations above have none. */
  readonly noiseBaseOhms?: number;
}
export interface Fet extends PrimitiveBase {
  readonly kind: 'nJfet' | 'nMosfet';
  readonly nodes: readonly [drain: NodeName, gate: NodeName, source: NodeName];
  readonly data: FetData;
}
export interface Opamp extends PrimitiveBase {
  readonly kind: 'opamp';
  readonly nodes: readonly [
    plus: NodeName,
    minus: NodeName,
    out: NodeName,
    positiveSupply: NodeName,
    negativeSupply: NodeName,
  ];
  readonly data: OpampData;
  /** Absent where nothing is known of it: the amplifier then counts as silent. */
  readonly noise?: OpampNoise;
  /** The pin that an output stage fitted beside it drives, and its headroom; absent where `out` is the pin. */
  readonly drives?: {
    readonly net: NodeName;
    readonly headroomHighV: number;
    readonly headroomLowV: number;
  };
}
/**
 * Charge-pump converter, averaged over its cycle: an ideal transformer for direct current behind its output
 * resistance. What it delivers it draws `ratio` times from its supply.
 *
 *   i = (ratio·v_supply − v_out)/R        into `out` flows i, out of `supply` ratio·i
 */
export interface Converter extends PrimitiveBase {
  readonly kind: 'converter';
  readonly nodes: readonly [supply: NodeName, out: NodeName];
  readonly ratio: number;
  readonly outputOhms: number;
}

export type Primitive =
  | Resistor
  | Capacitor
  | Inductor
  | VoltageSource
  | DiodeString
  | Bjt
  | Fet
  | Opamp
  | Converter;

export interface Network {
  /** Node driven by the instrument, V against ground. */
  readonly input: NodeName;
  /** Node that is heard. */
  readonly output: NodeName;
  /**
   * Supply and bias nodes that the stages share. Where such a node has a large capacitor to ground the
   * solver advances it beside the stages; they are the only nodes for which it may.
   */
  readonly rails: readonly NodeName[];
  readonly temperatureK: number;
  readonly primitives: readonly Primitive[];
}
