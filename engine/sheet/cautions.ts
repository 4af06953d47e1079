import { orderRows } from '../analysis/order-list.ts';
import { boardParts } from '../builds/board-parts.ts';
import type { Build } from '../builds/build.ts';
import { boardNetsOf } from '../builds/network-of-build.ts';
import { isBatteryVoltage } from '../builds/supply-conditions.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import { converterEntry } from '../parts/part-types.ts';
import { parseValue } from '../units/value-code.ts';
import { supplyLugs } from '../wiring/supply-lugs.ts';

/** What can hurt the builder or the parts, with where that is from. */
export interface Caution {
  readonly about: string;
  readonly text: string;
  /** A document, "from memory" where it was not at hand, or "common practice, no source". */
  readonly source: string;
}

const PRACTICE = 'common practice, no source';

/** What holds at every bench. */
const GENERAL: readonly Caution[] = [
  {
    about: 'Mains adapter',
    text: 'Use a closed adapter that is certified where you live, with an output that is separated from the mains. Never open one, and never build the mains side yourself: that is work for a licensed electrician.',
    source: 'IEC 62368-1, safety of audio and video equipment; from memory',
  },
  {
    about: 'Solder with lead',
    text: 'Do not eat, drink or smoke while you solder. Wash your hands afterwards. Keep it away from children; during a pregnancy use lead-free solder. What you sell in the EU must be lead-free, with few exemptions.',
    source:
      'Regulation (EC) 1272/2008, lead as toxic for reproduction; Directive 2011/65/EU for what is sold; from memory',
  },
  {
    about: 'Fumes',
    text: 'The smoke is from the flux; that of rosin can cause asthma. Open a window or use an extractor, and keep your head out of the smoke.',
    source: 'Health and Safety Executive (UK), INDG249, rosin based solder fluxes; from memory',
  },
  {
    about: 'Eyes',
    text: 'Wear safety glasses while you solder, cut leads and drill. Hold a lead while you cut it: it flies.',
    source: 'ISO 16321-1, eye protectors for work; from memory',
  },
  {
    about: 'Heat',
    text: 'The tip has about 350 °C. Put the iron into its stand, and switch it off when you leave. Cool a burn under cool running water for 20 minutes.',
    source: '20 minutes: NHS (UK), Burns and scalds, from memory; the rest common practice',
  },
  {
    about: 'Drilling',
    text: 'Clamp the enclosure, wear no gloves at the drill, and remove the burrs: an edge of metal cuts wires and fingers.',
    source: PRACTICE,
  },
  {
    about: 'Before power',
    text: 'With the chips out of their sockets, measure the resistance from plus to minus of the supply pads: near 0 Ω is a short circuit. Then measure the current of the supply. Far more than this sheet says, a smell or a part that gets hot: take the supply off at once.',
    source: PRACTICE,
  },
  {
    about: 'First test',
    text: 'Take the supply off before you change anything. Turn the amplifier and headphones down before you plug in: a new build can be loud, howl or pop. 80 dB for 40 hours a week is the most that is safe for ears.',
    source: 'Recommendation ITU-T H.870 with the WHO, safe listening; from memory',
  },
  {
    about: 'Local rules',
    text: 'This sheet does not replace the law and codes where you live, the data sheets of your parts, or a licensed or qualified person. Where they say something else, follow them. If you are not sure, ask. A source “from memory” was not at hand when this was written: look it up where it matters.',
    source: PRACTICE,
  },
];

/** The cautions of a build: first those of its own parts and supply, then those of every bench. */
export function cautionsOf(build: Build): readonly Caution[] {
  return [...ownCautions(build), ...GENERAL];
}

/** Of several pedals: what concerns one part or supply with the numbers of its pedals, and what holds for all once. */
export function cautionsOfAll(builds: readonly Build[]): readonly Caution[] {
  if (builds.length === 1) return cautionsOf(builds[0]!);
  const numbers = new Map<string, number[]>();
  const own = builds.flatMap((build, index) =>
    ownCautions(build).filter(({ text }) => {
      const known = numbers.get(text);
      numbers.set(text, [...(known ?? []), index + 1]);
      return known === undefined;
    }),
  );
  const numbered = own.map((caution) => {
    const pedals = numbers.get(caution.text)!;
    return { ...caution, about: `Pedal ${pedals.join(', ')}: ${caution.about}` };
  });
  return [...numbered, ...GENERAL];
}

function ownCautions(build: Build): readonly Caution[] {
  const { isPositiveGround, value } = supplyLugs(build, fittedCircuit(build), boardNetsOf(build));
  const volts = parseValue(value, 'volts');
  return [
    ...(isPositiveGround ? [POSITIVE_GROUND] : []),
    supplyCaution(value),
    ...converterCautions(build, volts),
    ...electrolyticCautions(build),
    ...batteryCautions(volts),
  ];
}

const POSITIVE_GROUND: Caution = {
  about: 'Positive ground',
  text: 'Plus of the supply is at ground. Never share its adapter with another pedal: the sleeves of the cables would short it. Keep its DC socket insulated from the enclosure.',
  source: PRACTICE,
};

function supplyCaution(value: string): Caution {
  return {
    about: 'Polarity',
    text: `Measure the plug of the adapter before you use it: ${value.replace(/V$/, ' V')} DC, minus at the centre. Wrong polarity or AC can destroy chips, transistors and electrolytic capacitors at once. Do not use more volts: the ratings on this sheet are for these.`,
    source: PRACTICE,
  };
}

/** Supplies that a builder may try, V. */
const HIGHER_V = [12, 15, 18] as const;

function converterCautions(build: Build, supplyV: number): readonly Caution[] {
  const converters = boardParts(build).filter(({ kind }) => kind === 'converter');
  return converters.map(({ place, code }) => {
    const { type, maxSupplyV, absoluteMaxSupplyV, source, fromMemory } = converterEntry(code);
    const never = HIGHER_V.filter((volts) => volts > maxSupplyV && volts > supplyV);
    const over = never.length === 0 ? '' : ` Do not try ${never.join(' or ')} V.`;
    const memory = fromMemory.includes('absoluteMaxSupplyV');
    return {
      about: `Converter ${place}`,
      text: `${type} works with at most ${maxSupplyV} V and fails above ${absoluteMaxSupplyV} V. An adapter without regulation can give more than is printed on it.${over}`,
      source: memory ? `${source}; highest voltage from memory` : source,
    };
  });
}

function electrolyticCautions(build: Build): readonly Caution[] {
  const places = orderRows(build)
    .filter(({ group }) => group === 'Electrolytic capacitors')
    .flatMap(({ refs }) => refs);
  if (places.length === 0) return [];
  return [
    {
      about: 'Electrolytic capacitors',
      text: `${[...new Set(places)].join(', ')}: plus where the schematic has the sign, rating at least that of the parts list. Turned round or above its rating such a part gets hot and can burst.`,
      source: 'JEITA RCR-2367, guideline for aluminium electrolytic capacitors; from memory',
    },
    {
      about: 'Old electrolytic capacitors',
      text: 'One that has lain for years leaks and may have lost its value: measure it, or buy a new one. It stays charged after the supply is off: wait or discharge it through 1 kΩ before you measure resistance or solder.',
      source: PRACTICE,
    },
  ];
}

function batteryCautions(volts: number): readonly Caution[] {
  if (!isBatteryVoltage(volts)) return [];
  return [
    {
      about: 'Battery',
      text: 'Take it out before you solder, and never let its contacts touch metal: a short circuit heats battery and wires. Never open or solder a lithium 9 V battery, and charge only one that is made for it, in its own charger: it can burn. Take it to the collection point when it is flat.',
      source: 'IEC 60086-4, safety of lithium batteries; IEC 60086-5, of alkaline ones; from memory',
    },
  ];
}
