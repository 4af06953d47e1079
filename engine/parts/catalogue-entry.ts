import type { BjtData } from '../devices/bipolar.ts';
import type { DiodeData } from '../devices/diode.ts';
import type { FetData } from '../devices/field-effect.ts';
import type { OpampData } from '../devices/opamp-data.ts';

/** Whether a part is sold, from memory: stock changes, and fakes appear. */
export type PartStatus = 'current' | 'obsolete' | 'often faked';

/** What a datasheet point is about, with the unit of its figures. */
export type PointQuantity =
  | 'forwardVoltageV'
  | 'reverseCurrentA'
  | 'reverseVoltageV'
  | 'recoverySeconds'
  | 'zenerV'
  | 'differentialOhms'
  | 'capacitanceF'
  | 'currentGain'
  | 'baseEmitterV'
  | 'collectorLeakageA'
  | 'gateCutoffV'
  | 'gateThresholdV'
  | 'zeroBiasDrainA'
  | 'transconductanceS'
  | 'supplyV'
  | 'gainBandwidthHz'
  | 'slewVPerS'
  | 'openLoopGain'
  | 'inputBiasA'
  | 'swingV'
  | 'quiescentA';

/** Conditions under which a point holds. */
export interface PointConditions {
  readonly forwardA?: number;
  readonly reverseV?: number;
  readonly reverseA?: number;
  readonly collectorA?: number;
  readonly drainA?: number;
  /** Drain to source, V. */
  readonly drainV?: number;
  /** Supply from the negative to the positive pin, V. */
  readonly supplyV?: number;
  /** Load of an output to half of its supply, ohms; absent: the lighter one of its sheet. */
  readonly loadOhms?: number;
}

/**
 * One line of a datasheet at 25 °C. Signed as the sheet prints it; magnitudes for currents whose direction the
 * sheet does not state.
 */
export interface DatasheetPoint {
  readonly quantity: PointQuantity;
  readonly minimum?: number;
  readonly typical?: number;
  readonly maximum?: number;
  readonly at: PointConditions;
  /** Document and revision; ends in "from memory" where the document was not at hand. */
  readonly source: string;
}

/** Where the data is known to disagree with a datasheet: shown beside the part, never hidden. */
export interface KnownMiss {
  readonly quantity: PointQuantity;
  readonly at: PointConditions;
  readonly sheetSays: number;
  readonly dataGives: number;
  /** One sentence for the screen. */
  readonly note: string;
}

interface Entry<Kind extends string, Data> {
  /** Type number as printed on the part. */
  readonly type: string;
  /** The type of the catalogue that one piece is of; absent for a type. */
  readonly like?: string;
  readonly kind: Kind;
  /** Short name of its group in menus. */
  readonly family: string;
  /** What it is, in words for the screen. */
  readonly title: string;
  readonly status: PartStatus;
  readonly data: Data;
  /** Source of the data: published model card, datasheet or fit. */
  readonly dataSource: string;
  readonly limits: readonly DatasheetPoint[];
  readonly knownMisses: readonly KnownMiss[];
}

/**
 * How a two-way type conducts from cathode to anode, as a second, reversed junction: the breakdown of a Zener, or the
 * channel of a MOSFET whose gate is tied to its drain, with the drain at the cathode.
 */
export interface ReverseConduction {
  readonly by: 'breakdown' | 'channel';
  readonly data: DiodeData;
}

/** A capacitance that sheets know only as a range; the usual one stands in the data of the type. */
export interface CapacitanceRange {
  readonly lowF: number;
  readonly highF: number;
  readonly source: string;
}

export interface DiodeEntry extends Entry<'diode', DiodeData> {
  /** Undefined if it does not conduct backwards at pedal voltages. */
  readonly reverse?: ReverseConduction;
  /** Of the capacitance at zero bias, where sheets know it only to a factor of several. */
  readonly capacitanceRange?: CapacitanceRange;
  /** Several parts in series, from anode to cathode; `data` is then that of the first. */
  readonly chain?: readonly ChainLink[];
}
/** One part of such a series; a reversed one has its cathode towards the anode of the whole. */
export interface ChainLink {
  readonly entry: DiodeEntry;
  readonly isReversed: boolean;
}
export interface BjtEntry extends Entry<'npn' | 'pnp', BjtData> {
  /** First transistor of a Darlington, whose emitter drives the base of the one that `data` describes. */
  readonly driver?: BjtData;
}
export interface FetEntry extends Entry<'nJfet' | 'pJfet' | 'nMosfet', FetData> {
  /** Between source and drain of a MOSFET; fitted beside the transistor as a diode of its own. */
  readonly bodyDiode?: DiodeData;
  /** From drain to source of a MOSFET whose gate is tied to its drain. */
  readonly channelDiode?: DiodeData;
}
/** An output stage whose halves are not biased: see opamp-primitives.ts. */
export interface ClassBOutput {
  /** Junctions in series from the amplifier to the pin; one conducts back. */
  readonly sourcing: number;
  readonly junction: DiodeData;
  /** Models the small current that the stage sinks by itself. */
  readonly classAOhms: number;
}
/** What a load takes from the swing of an output; see opamp-outputs.ts. */
export interface OpampOutput {
  /** What the swing loses for each ampere, ohms. */
  readonly saturationOhms: number;
  /** Current at which the headrooms of the entry's data hold, A. */
  readonly headroomAtA: number;
  /** Most current out of and into the output, A. */
  readonly sourceA: number;
  readonly sinkA: number;
  /** Further lines of the sheet. */
  readonly points: readonly DatasheetPoint[];
  readonly source: string;
}
export interface OpampEntry extends Entry<'opamp', OpampData> {
  /** Data of each of two antiparallel junctions between the inputs; absent if there are none. */
  readonly inputClamp?: DiodeData;
  /** Absent where it is built from junctions. */
  readonly output?: OpampOutput;
  /** Absent if the output has no audible crossover. */
  readonly classBOutput?: ClassBOutput;
  readonly amplifiersPerPackage: 1 | 2;
  /** Absolute maximum between the supply pins, V; also among the limits, with its source. */
  readonly maxSupplyV: number;
}
/** A charge-pump converter type. */
export interface ConverterEntry {
  readonly type: string;
  readonly like?: string;
  readonly kind: 'converter';
  readonly family: string;
  readonly title: string;
  readonly status: PartStatus;
  /** Range in which the sheet says that it works, V. */
  readonly minSupplyV: number;
  readonly maxSupplyV: number;
  /** Above this it is destroyed, V. */
  readonly absoluteMaxSupplyV: number;
  readonly outputOhms: number;
  /** Pump capacitor with which the sheet measures that, F; from memory. */
  readonly sheetPumpFarads: number;
  /** Frequency of its oscillator, and with its boost pin (if any) tied to the supply, Hz. */
  readonly oscillatorHz: number;
  readonly boostedOscillatorHz: number | undefined;
  /** Datasheet of the figures. */
  readonly source: string;
  /** Figures that were not compared with it. */
  readonly fromMemory: readonly (
    | 'outputOhms'
    | 'oscillatorHz'
    | 'boostedOscillatorHz'
    | 'absoluteMaxSupplyV'
  )[];
}

export type TransistorEntry = BjtEntry | FetEntry;
export type CatalogueEntry = DiodeEntry | TransistorEntry | OpampEntry | ConverterEntry;
export type PartKind = CatalogueEntry['kind'];
