import { describe, expect, it } from 'vitest';
import type { Build } from '../../engine/builds/build.ts';
import { startingBuild } from '../../engine/builds/build.ts';
import {
  circuitSwapCounts,
  circuitSwapLines,
  circuitSwaps,
  counterpartTexts,
  type StageSwaps,
  stageSwapsText,
  swappedText,
  wholeStagesText,
} from '../../engine/builds/circuit-swaps.ts';
import { withPart } from '../../engine/builds/part-figures.ts';
import { comparedParts, partPairs } from '../../engine/builds/part-pairs.ts';
import { swapsBetween, unlikeText } from '../../engine/builds/swaps.ts';
import { parseCircuit } from '../../engine/circuits/circuit-file.ts';
import softClip1 from '../../presets/circuits/soft-clip.revision-1.json';
import { copiedSwap } from '../../ui/state/copied-swap.ts';
import { selectedInA } from '../../ui/state/part-in-a.ts';
import { reduce } from '../../ui/state/reduce.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { presetBuild } from '../preset-build.ts';

const soft = presetBuild('soft-plain');
const clean = presetBuild('clean-plain');

/** A circuit whose document says no jobs, as all did before there were any. */
const jobless = startingBuild(parseCircuit({ ...softClip1, id: 'mine', title: 'My own' }).circuit!);

const jobsIn = (stages: readonly StageSwaps[]) => stages.flatMap(({ swaps }) => swaps.map(({ job }) => job));

describe('builds of two circuits', () => {
  // Which part of the one schematic does what a part of the other does was read from both by hand; the values are those of the
  // documents. Common practice, no source.
  it('have their parts of one job swapped, in the order of the signal', () => {
    expect(circuitSwaps(soft, clean).swapped.map(swappedText)).toEqual([
      'input pull-down resistor: R1 1M to R1 2M2',
      'input coupling capacitor: C1 22n to C1 100n',
      'input bias resistor: R2 510k to R2 1M',
      'input buffer: Q1 2N5088 to U1A TL072',
      'gain stage coupling capacitor: C2 1u to C2 47n',
      'gain stage bias resistor: R5 10k to R3 22k',
      'gain stage: U1A RC4558 to U1B TL072',
      'gain resistor: R4 4k7 to R4 2k2',
      'bass corner capacitor: C3 47n to C4 220n',
      'lowest gain resistor: R6 51k to R5 15k',
      'gain knob: VR1 500k audio 15 % to VR1A 100k linear',
      'feedback capacitor: C4 51p to C5 2n7',
      'lower clipping diode: D1 1N4148 to D2 1N34A',
      'upper clipping diode: D2 1N4148 to D1 1N34A',
      'asymmetric clipping diode: D3 1N4148 to D5 1N34A',
      'tone stage: U1B RC4558 to U2B TL072',
      'tone knob: VR2 20k S-shaped to VR2 10k linear',
      'tone resistor: R9 220R to R15 2k2',
      'tone capacitor: C6 220n to C9 33n',
      'tone feedback resistor: R10 1k to R14 10k',
      'output knob series resistor: R11 1k to R16 560R',
      'output knob: VR3 100k audio 15 % to VR3 10k audio 15 %',
    ]);
  });

  // By hand, from the schematics: the one divider is at the base of a transistor, the other makes a bias net.
  it.each([
    ['treble-plain', 'soft-plain', /divider/],
    ['cascade-plain', 'soft-plain', /^tone capacitor/],
  ] as const)('do not pair parts that only look alike: %s and %s', (one, other, job) => {
    const { swapped } = circuitSwaps(presetBuild(one), presetBuild(other));
    expect(swapped.map(swappedText).filter((text) => job.test(text))).toEqual([]);
  });

  it('have the rest of each side by stages, whole ones named as such', () => {
    const swaps = circuitSwaps(soft, clean);
    expect(swaps.added.map(({ stage, isWhole }) => [stage, isWhole])).toEqual([
      ['Gain and clipping', false],
      ['Summing', true],
      ['Treble', false],
      ['Converter and rails', true],
    ]);
    expect(stageSwapsText(swaps.added[1]!)).toBe(
      'Summing, the whole stage: R8 22k, VR1B 100k linear, R9 27k, R10 22k, C7 100n, R11 47k, U2A TL072, R12 47k, C8 220p',
    );
    expect(swaps.leftOut.map(stageSwapsText)).toEqual([
      'Input buffer: R3 10k',
      'Tone and output level: R7 1k, C5 220n, R8 10k',
      'Output buffer: C8 100n, R12 510k, Q2 2N5088, R13 10k, C9 10u, R18 100R',
    ]);
    expect(wholeStagesText(swaps)).toBe('stages only in B: Summing, Converter and rails');
    expect(circuitSwapCounts(swaps)).toBe('22 swapped, 27 only in B, 10 only in A');
  });

  it.each<[string, Build, Build]>([
    ['the bundled ones', soft, clean],
    ['one without jobs', jobless, clean],
    ['two revisions', presetBuild('clean-plain-revision-1'), clean],
    ['other bypasses', { ...soft, bypass: 'transistor-switched' }, { ...clean, bypass: 'buffered' }],
  ])('have every part once, and the mirrored differences from the other side: %s', (_, one, other) => {
    const pairs = partPairs(one, other);
    const refsOf = (parts: readonly { readonly ref: string }[]) => parts.map(({ ref }) => ref).sort();
    expect(refsOf([...pairs.both.map(([part]) => part), ...pairs.onlyFirst])).toEqual(
      refsOf(comparedParts(one)),
    );
    expect(refsOf([...pairs.both.map(([, part]) => part), ...pairs.onlySecond])).toEqual(
      refsOf(comparedParts(other)),
    );
    const [there, back] = [circuitSwaps(one, other), circuitSwaps(other, one)];
    const mirrored = back.swapped.map(({ before, after }) => [
      after.ref,
      before.ref,
      after.text,
      before.text,
    ]);
    expect(
      there.swapped.map(({ before, after }) => [before.ref, after.ref, before.text, after.text]).sort(),
    ).toEqual(mirrored.sort());
    expect(jobsIn(there.added)).toEqual(jobsIn(back.leftOut));
    expect(jobsIn(there.leftOut)).toEqual(jobsIn(back.added));
  });

  it('are told by stage and role where a circuit says no jobs', () => {
    const { swapped, added, leftOut } = circuitSwaps(jobless, clean);
    expect(swapped).toEqual([]);
    expect(leftOut.map(({ stage, isWhole }) => [stage, isWhole])).toEqual([
      ['Input buffer', true],
      ['Gain and clipping', true],
      ['Tone and output level', true],
      ['Output buffer', true],
      ['Supply and bias', true],
    ]);
    expect(jobsIn(leftOut)[0]).toBe('Keeps the input at ground, so that plugging in does not pop.');
    expect(jobsIn(added)).toContain('gain resistor');
  });

  it('leave out what is not fitted and has no counterpart, and tell it where it has one', () => {
    const bare = withPart(soft, 'C8', { value: '100n', fit: 'bridged' });
    expect(
      circuitSwaps(bare, clean)
        .leftOut.at(-1)!
        .swaps.map(({ job }) => job),
    ).not.toContain('output buffer coupling capacitor');
    const radio = withPart(clean, 'C15', { value: '100p' });
    expect(circuitSwaps(soft, radio).swapped.map(swappedText)).toContain(
      'input filter capacitor: C12 not fitted to C15 100p',
    );
  });

  it('pair a fitted part before an empty place of the same job', () => {
    const moved = withPart(withPart(soft, 'D4', { type: '1N4148' }), 'D5', { type: 'LED-red' });
    const other = { ...jobless, circuit: { ...soft.circuit, id: 'mine' }, parts: soft.parts };
    const one = withPart(other, 'D5', { type: 'OA91' });
    expect(
      circuitSwaps(one, withPart(moved, 'D5', { ...soft.parts['D5'] })).swapped.map(swappedText),
    ).toContain('further clipping diode: D5 OA91 to D4 1N4148');
  });

  it('tell knobs and switches of one job, but not a knob that another one turns', () => {
    const turned = { ...clean, knobs: { ...clean.knobs, gain: 1, blend: 0.2 } };
    const lines = circuitSwaps(soft, turned).swapped.map(swappedText);
    expect(lines).toContain('position of the gain knob: VR1 gain 12:00 to VR1A gain 5:00');
    expect(lines.join(' ')).not.toContain('blend');
    const lifted = { ...soft, switches: { clipping: 'lifted' } };
    expect(circuitSwaps(lifted, clean).swapped.map(swappedText)).toContain(
      'clipping switch: SW1 clipping lifted to W3 clipping symmetric',
    );
  });

  it('show beside each part of the one what the other has for its job', () => {
    const beside = counterpartTexts(soft, clean);
    expect(beside.get('C3')).toEqual({ text: 'C4 220n', isAlike: false });
    expect(beside.get('R17')).toEqual({ text: 'R18 10R', isAlike: true });
    expect(beside.get('U1')).toEqual({ text: 'U1B TL072, U2B TL072', isAlike: false });
    expect(beside.get('R7')).toBeUndefined();
  });

  it('tell the bypass and the builder’s own names, as lines for a report', () => {
    const named: Build = { ...soft, bypass: 'buffered', aliases: { U1: 'IC1', R4: 'R7' } };
    const lines = circuitSwapLines(named, clean);
    expect(lines[0]).toBe('Two circuits: Soft clip and Clean blend.');
    expect(lines).toContain('  gain stage: U1A (IC1) RC4558 to U1B TL072');
    expect(lines).toContain('  gain resistor: R4 (R7) 4k7 to R4 2k2');
    expect(lines).toContain('  bypass: buffered to true');
    expect(lines).toContain('  Buffered bypass, the whole stage: C101 1u, R101 100k');
    expect(lines.filter((line) => !line.startsWith(' '))).toEqual([
      lines[0],
      'Swapped, parts with the same job:',
      'Only in B:',
      'Only in A:',
    ]);
  });
});

describe('a swap between two circuits', () => {
  const turned: Build = { ...clean, knobs: { ...clean.knobs, gain: 1 }, bypass: 'buffered' };
  const state = { ...freshState({ a: soft, b: turned }), isLinked: false };
  const swapOf = (job: string) => circuitSwaps(soft, turned).swapped.find((swap) => swap.job === job)!;
  const copied = (job: string, slot: 'a' | 'b') => {
    const action = copiedSwap(state.builds, swapOf(job), slot);
    return action && reduce(state, action).builds[slot];
  };

  it('is copied to either side where both have that kind of part, to the place that it has there', () => {
    expect(copied('bass corner capacitor', 'a')!.parts['C3']).toEqual({ value: '220n' });
    expect(copied('bass corner capacitor', 'b')!.parts['C4']).toEqual({ value: '47n' });
    expect(copied('lower clipping diode', 'a')!.parts['D1']).toEqual({ type: '1N34A' });
    expect(copied('tone stage', 'b')!.parts['U2']).toEqual({ type: 'RC4558' });
    expect(copied('tone knob', 'a')!.parts['VR2']).toEqual({ value: '10k', law: 'linear' });
    expect(copied('position of the gain knob', 'a')!.knobs).toEqual({ ...soft.knobs, gain: 1 });
    expect(copied('bypass', 'a')!.bypass).toBe('buffered');
  });

  it('is not offered where the kinds differ, as of a transistor and an op-amp', () => {
    expect(copied('input buffer', 'a')).toBeUndefined();
    expect(copied('input buffer', 'b')).toBeUndefined();
  });

  it('has its candidates at the place of A with the same job, whichever build is heard', () => {
    const chosen = (selected: string, heard: 'a' | 'b') =>
      selectedInA({ builds: state.builds, heard, selected });
    expect([chosen('D1', 'a'), chosen('D1', 'b'), chosen('C4', 'b')]).toEqual(['D1', 'D2', 'C3']);
    expect([chosen('VR4', 'b'), chosen('VR4', 'a')]).toEqual([undefined, undefined]);
  });

  it('is gone once it was copied', () => {
    const a = copied('gain resistor', 'a')!;
    expect(circuitSwaps(a, turned).swapped.map(({ job }) => job)).not.toContain('gain resistor');
  });
});

describe('builds of one circuit, or of its revisions', () => {
  it('have no lines of two circuits where the circuit is the same', () => {
    expect(circuitSwapLines(soft, presetBuild('soft-led'))).toEqual([]);
    expect(swapsBetween(soft, presetBuild('soft-led')).length).toBeGreaterThan(0);
  });

  it('are compared by designator in two revisions, since the older one says no jobs', () => {
    const [older, newer] = [presetBuild('clean-plain-revision-1'), clean];
    const { swapped, added } = circuitSwaps(older, newer);
    expect(swapped.map(swappedText)).toEqual(['feedback capacitor: C5 100p to C5 2n7']);
    // What revision 2 brought, but for places that start empty.
    expect(added.flatMap(({ swaps }) => swaps.map(({ side }) => side.ref))).toEqual([
      'D5',
      'W3',
      'C16',
      'W4',
      'D7',
      'C19',
      'W5',
      'C17',
      'C18',
    ]);
  });

  it('say in a sentence how the circuits differ', () => {
    expect(unlikeText(soft, presetBuild('soft-led'))).toBeUndefined();
    expect(unlikeText(soft, clean)).toBe('Two circuits: Soft clip and Clean blend.');
    expect(unlikeText(presetBuild('soft-plain-revision-1'), soft)).toBe(
      'Two revisions of Soft clip: 1 and 3.',
    );
    const changed = { ...soft, circuit: { ...soft.circuit, rails: [] } };
    expect(unlikeText(changed, soft)).toBe('Two versions of Soft clip.');
  });
});
