import type { Build } from '../../engine/builds/build.ts';
import { PICKUPS } from '../../engine/builds/instrument.ts';
import { NEXT_INPUTS } from '../../engine/builds/output-load.ts';
import { FIT_WORDS } from '../../engine/builds/part-setting.ts';
import { SLOTS } from '../../worklets/bench-messages.ts';
import type { BenchState } from './bench-state.ts';
import { pedalsOf, type Sides } from './chains.ts';

type Conditions = Pick<BenchState, 'builds' | 'places' | 'temperatureC' | 'guitar' | 'after' | 'source'>;

/** What is around the builds, in the order of the signal where it has one; one short phrase each. */
export function conditionsText(state: Conditions): readonly string[] {
  return [
    `${state.temperatureC} °C`.replace('-', '−'),
    ofSides(state, supplyText),
    ofSides(state, ({ bypass }) => `${bypass} bypass`),
    beforeText(state),
    afterText(state),
  ];
}

/** A value that may have been typed: "9 V". */
function supplyText({ circuit, parts }: Build): string {
  const { value, fit } = parts[circuit.roles.supply] ?? {};
  return fit ? `supply ${FIT_WORDS[fit]}` : `supply ${(value ?? '').replace(/(?<=\d)V$/, ' V')}`;
}

/** Of a chain, what its pedals have, each once. */
function ofSides(sides: Sides, textOf: (build: Build) => string): string {
  const [a, b] = SLOTS.map((slot) =>
    [...new Set(pedalsOf(sides, slot).map(({ build }) => textOf(build)))].join(' and '),
  );
  return a === b ? a! : `A ${a}, B ${b}`;
}

function beforeText({ guitar, source }: Conditions): string {
  if (!guitar.isOn) return 'no pickup or cable added';
  const { pickup, cableMetres } = guitar.instrument;
  const corrected = source.kind === 'live' ? ', corrected' : '';
  return `${PICKUPS[pickup].title}, ${cableMetres} m cable${corrected}`;
}

function afterText({ after: { isOn, load } }: Conditions): string {
  return isOn ? `into ${NEXT_INPUTS[load.input].phrase}, ${load.cableMetres} m cable` : 'output open';
}
