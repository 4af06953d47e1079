import { PICKUPS } from '../../engine/builds/instrument.ts';
import { NEXT_INPUTS } from '../../engine/builds/output-load.ts';
import { FIT_WORDS } from '../../engine/builds/part-setting.ts';
import { SLOTS } from '../../worklets/bench-messages.ts';
import type { BenchState, Builds } from './bench-state.ts';

type Conditions = Pick<BenchState, 'builds' | 'temperatureC' | 'guitar' | 'after' | 'source'>;

/** What is around the builds, in the order of the signal where it has one; one short phrase each. */
export function conditionsText(state: Conditions): readonly string[] {
  return [
    `${state.temperatureC} °C`.replace('-', '−'),
    ofBuilds(state.builds, supplyText),
    ofBuilds(state.builds, ({ bypass }) => `${bypass} bypass`),
    beforeText(state),
    afterText(state),
  ];
}

/** A value that may have been typed: "9 V". */
function supplyText({ circuit, parts }: Builds['a']): string {
  const { value, fit } = parts[circuit.roles.supply] ?? {};
  return fit ? `supply ${FIT_WORDS[fit]}` : `supply ${(value ?? '').replace(/(?<=\d)V$/, ' V')}`;
}

function ofBuilds(builds: Builds, textOf: (build: Builds['a']) => string): string {
  const [a, b] = SLOTS.map((slot) => textOf(builds[slot]));
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
