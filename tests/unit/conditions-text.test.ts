import { describe, expect, it } from 'vitest';
import { USUAL_INSTRUMENT } from '../../engine/builds/instrument.ts';
import { USUAL_OUTPUT_LOAD } from '../../engine/builds/output-load.ts';
import { BOTH_ALONE } from '../../ui/state/chains.ts';
import { conditionsText } from '../../ui/state/conditions-text.ts';
import { presetNamed } from '../../ui/state/presets.ts';

const plain = presetNamed('soft-plain');
const state = {
  builds: { a: plain, b: plain },
  places: BOTH_ALONE,
  temperatureC: 27,
  guitar: { isOn: false, instrument: USUAL_INSTRUMENT },
  after: { isOn: false, load: USUAL_OUTPUT_LOAD },
  source: { kind: 'string' },
} as const;

describe('the conditions of the bench in one line', () => {
  it('say what a bench has that nobody has changed', () => {
    expect(conditionsText(state)).toEqual([
      '27 °C',
      'supply 9 V',
      'true bypass',
      'no pickup or cable added',
      'output open',
    ]);
  });

  it('name the builds only where these differ', () => {
    const supplied = { ...plain, parts: { ...plain.parts, V1: { value: '18V' } } };
    const builds = { a: plain, b: { ...supplied, bypass: 'buffered' as const } };
    const [, supply, bypass] = conditionsText({ ...state, builds });
    expect(supply).toBe('A supply 9 V, B supply 18 V');
    expect(bypass).toBe('A true bypass, B buffered bypass');
  });

  it('say what is before and after, and that a live guitar is corrected', () => {
    const around = {
      ...state,
      temperatureC: -5,
      guitar: { ...state.guitar, isOn: true },
      after: { ...state.after, isOn: true },
    };
    expect(conditionsText(around)[0]).toBe('−5 °C');
    expect(conditionsText(around).slice(3)).toEqual([
      'single-coil, 6 m cable',
      'into an amplifier, 6 m cable',
    ]);
    const live = { kind: 'live', deviceId: '', channel: 0 } as const;
    expect(conditionsText({ ...around, source: live })[3]).toBe('single-coil, 6 m cable, corrected');
  });
});
