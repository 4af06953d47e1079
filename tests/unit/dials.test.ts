import { describe, expect, it } from 'vitest';
import { typesOf } from '../../engine/parts/catalogue.ts';
import { POT_LAWS } from '../../engine/units/taper.ts';
import { dialled, dialPlaces } from '../../ui/hands/dials.ts';
import type { DialTarget } from '../../ui/hands/hand-bindings.ts';
import type { Action } from '../../ui/state/bench-state.ts';
import { startedState } from '../started-bench.ts';

const state = startedState();

/** What a part becomes at each of the 128 positions of a MIDI knob. */
function settings(target: DialTarget) {
  const all = Array.from({ length: 128 }, (_, value) => dialled(state, target, value / 127));
  return all.map((action) => (action as (Action & { type: 'setPart' }) | undefined)?.setting);
}

// IEC 60063: the twelve values of E12.
const E12 = [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82];

describe('a MIDI knob', () => {
  it('takes a resistor along its series, from a tenth to ten times what the circuit has', () => {
    const start = state.builds.a.parts['R4']?.value;
    expect([start, state.series]).toEqual(['4k7', 'E12']);
    const values = [...new Set(settings('part R4').map((setting) => setting?.value ?? start))];
    expect([values.at(0), values.at(-1)]).toEqual(['470R', '47k']);
    expect(values).toHaveLength(25);
    const firstTwo = values.map((value) => Number(/^(\d+)\D?(\d*)/.exec(value!)!.slice(1).join('')));
    for (const figures of firstTwo)
      expect(E12.flatMap((each) => [each, each / 10, each * 10])).toContain(figures);
    // 64 of 127 is the middle of a controller.
    expect(settings('part R4')[64], 'it is there already').toBeUndefined();
  });

  it('takes a diode along the list of types, and a potentiometer along the tapers', () => {
    const types = new Set(settings('part D1').map((setting) => setting?.type));
    expect(types.size).toBeGreaterThan(0.9 * Math.min(128, typesOf('diode').length));
    const [pot] = dialPlaces(state.builds.a).find(([group]) => group === 'Taper')![1];
    const laws = new Set(settings(pot!.target).map((setting) => setting?.law));
    laws.delete(undefined);
    expect(laws.size).toBe(POT_LAWS.length - 1);
  });

  it('turns a control of the build that plays in steps of a hundredth', () => {
    expect(dialled(state, 'knob gain', 64 / 127)).toEqual({
      type: 'turnKnob',
      slot: 'a',
      name: 'gain',
      rotation: 0.5,
    });
  });

  it('does nothing at a place that the build does not have', () => {
    for (const target of ['knob nothing', 'part R999', 'taper R4', 'taper nothing'] as const)
      expect(dialled(state, target, 1), target).toBeUndefined();
  });
});
