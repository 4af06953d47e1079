import { describe, expect, it } from 'vitest';
import type { Build } from '../../engine/builds/build.ts';
import { netsOf } from '../../engine/builds/network-of-build.ts';
import { circuitNets } from '../../engine/circuits/circuit-nets.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import { overlap } from '../../engine/drawing/geometry.ts';
import { typesOf } from '../../engine/parts/catalogue.ts';
import { pinoutPicture } from '../../engine/wiring/pinout-pictures.ts';
import { pinoutsOf } from '../../engine/wiring/pinouts.ts';
import { svgDocument } from '../../engine/wiring/wiring-svg.ts';
import { bypassBuild } from '../bypass-parts.ts';
import { presetBuild } from '../preset-build.ts';
import { legsIn, textBoxes } from './drawn-wires.ts';

const drawn = (build: Build) => svgDocument(pinoutPicture(pinoutsOf(build)), 'pins');
const withParts = (build: Build, parts: Build['parts']): Build => ({
  ...build,
  parts: { ...build.parts, ...parts },
});

/** What each leg of a part is drawn to carry, by pin number or letter. */
function netsDrawn(build: Build, ref: string): ReadonlyMap<string, string | undefined> {
  return new Map(
    legsIn(drawn(build))
      .filter(({ part }) => part === ref)
      .map(({ lug, net }) => [lug, net]),
  );
}

describe('the pinout of a chip', () => {
  it('has each net at the pin that the datasheet of a dual op-amp says', () => {
    // TI SLOS080 (TL072): 1OUT 1, 1IN− 2, 1IN+ 3, VCC− 4, 2IN+ 5, 2IN− 6, 2OUT 7, VCC+ 8.
    const pins = [
      ['1', 'U1A.out'],
      ['2', 'U1A.minus'],
      ['3', 'U1A.plus'],
      ['4', 'U1A.negative'],
      ['5', 'U1B.plus'],
      ['6', 'U1B.minus'],
      ['7', 'U1B.out'],
      ['8', 'U1A.positive'],
    ] as const;
    for (const name of ['soft-plain', 'clean-plain', 'hard-plain', 'three-plain']) {
      const build = presetBuild(name);
      const nets = netsDrawn(build, 'U1');
      for (const [lug, pin] of pins)
        expect([lug, nodeOf(build, nets.get(lug))]).toEqual([lug, netsOf(build)(pin)]);
    }
  });

  it('counts its pins against the clock from the left of the notch', () => {
    const legs = legsIn(drawn(presetBuild('soft-plain'))).filter(({ part }) => part === 'U1');
    const left = legs.slice(0, 4).map(({ at }) => at);
    const right = legs.slice(4).map(({ at }) => at);
    expect(left.every(([x]) => x < right[0]![0])).toBe(true);
    expect(left.map(([, y]) => y)).toEqual(right.map(([, y]) => y).reverse());
    expect([...left].sort((one, other) => one[1] - other[1])).toEqual(left);
  });

  it('is drawn for each amplifier of a single type, and says what to do with a free half', () => {
    const single = pinoutsOf(withParts(presetBuild('soft-plain'), { U1: { type: 'TL071' } }));
    expect(single.slice(0, 2).map(({ title }) => title)).toEqual(['U1A TL071', 'U1B TL071']);
    // TI SLOS080 (TL071): IN− 2, IN+ 3, OUT 6.
    expect(single[1]!.pins.filter(({ lug }) => ['2', '3', '6'].includes(lug)).map(({ pin }) => pin)).toEqual([
      'U1B.minus',
      'U1B.plus',
      'U1B.out',
    ]);
    expect(single[0]!.notes).toContain(
      'One chip for each amplifier: it needs a small adapter board for two single chips.',
    );
    const half = pinoutsOf(presetBuild('three-plain')).find(({ ref }) => ref === 'U2')!;
    expect(half.notes.join(' ')).toMatch(/Half B is free/);
    expect(half.pins.filter(({ net }) => net === undefined).map(({ name }) => name)).toEqual([
      '+B',
      '−B',
      'OUT B',
    ]);
  });

  it('says which capacitor a chip needs that no circuit has', () => {
    // National LM108/LM308: 30 pF between pins 1 and 8; TI SLOS070 (NE5534): 22 pF between 5 and 8 below a gain of 3; from memory.
    const svgOf = (type: string) =>
      textBoxes(drawn(withParts(presetBuild('soft-plain'), { U1: { type } })))
        .map(({ text }) => text)
        .join(' ');
    expect(svgOf('LM308A')).toMatch(/about 30 pF between pins 1 and 8 .*oscillates/);
    expect(svgOf('NE5534')).toMatch(/Below a gain of 3 .* about 22 pF between pins 5 and 8/);
    expect(svgOf('OP07E')).not.toMatch(/pF between/);
  });

  it('of a converter is that of the 7660 kind', () => {
    // Maxim 19-4667: CAP+ 2, GND 3, CAP− 4, VOUT 5, V+ 8; TelCom TC1044S: BOOST 1.
    const build = presetBuild('clean-plain');
    const nets = netsDrawn(build, 'U3');
    const pins = { 1: 'boost', 2: 'cap-plus', 4: 'cap-minus', 5: 'inverted', 8: 'supply' };
    for (const [lug, pin] of Object.entries(pins))
      expect(nodeOf(build, nets.get(lug))).toBe(netsOf(build)(`U3.${pin}`));
    expect(nets.get('3')).toBe('0');
  });
});

describe('the pinout of a transistor', () => {
  it('has a TO-92 from above, its flat side down: E B C of a 2N5088, D S G of a J113', () => {
    // onsemi 2N5088/D and Vishay 70232, both drawn with the flat side towards the reader.
    const svg = drawn(bypassBuild('transistor-switched'));
    const letters = (ref: string) =>
      legsIn(svg)
        .filter(({ part }) => part === ref)
        .sort((one, other) => one.at[0] - other.at[0])
        .map(({ lug }) => lug)
        .join('');
    expect([letters('Q1'), letters('Q101')]).toEqual(['EBC', 'DSG']);
    // The straight side is the lower one: an arc above it closes the case.
    expect(svg).toMatch(/<path d="M35 42H85A28 28 0 1 0 35 42Z"\/>/);
  });

  it('has a can from above: against the clock from the mark', () => {
    const build = withParts(presetBuild('germanium-fuzz-plain'), { Q1: { type: 'OC44' } });
    const legs = legsIn(drawn(build)).filter(({ part }) => part === 'Q1');
    const middle = [
      (Math.min(...legs.map(({ at }) => at[0])) + Math.max(...legs.map(({ at }) => at[0]))) / 2,
      (Math.min(...legs.map(({ at }) => at[1])) + Math.max(...legs.map(({ at }) => at[1]))) / 2,
    ];
    // Angle against the clock from the mark at the left; y goes down on a drawing.
    const angle = ([x, y]: readonly [number, number]) =>
      (Math.atan2(y - middle[1]!, -(x - middle[0]!)) * 180) / Math.PI;
    const turned = legs
      .map(({ at, lug }) => ({ lug, degrees: (angle(at) + 360) % 360 }))
      .sort((one, other) => one.degrees - other.degrees);
    // From below and clockwise a TO-1 or painted glass has C B E, from memory.
    expect(turned.map(({ lug }) => lug).join('')).toBe('CBE');
  });

  it('leaves a leg open that its diode does not use', () => {
    const build = withParts(presetBuild('hard-plain'), { D1: { type: 'AC128 base-emitter' } });
    const nets = netsDrawn(build, 'D1');
    expect(nets.get('C')).toBeUndefined();
    expect([nodeOf(build, nets.get('E')), nodeOf(build, nets.get('B'))]).toEqual([
      netsOf(build)('D1.anode'),
      netsOf(build)('D1.cathode'),
    ]);
  });
});

describe('the pinout of a diode', () => {
  it('has the band and the flat side at the cathode', () => {
    const svg = drawn(withParts(presetBuild('hard-plain'), { D2: { type: 'LED-red' } }));
    for (const ref of ['D1', 'D2']) {
      const legs = legsIn(svg).filter(({ part }) => part === ref);
      const [anode, cathode] = ['A', 'K'].map((letter) => legs.find(({ lug }) => lug === letter)!);
      expect(cathode!.at[0]).toBeGreaterThan(anode!.at[0]);
    }
    // The band of an axial case, and the straight side of an LED, right of the middle of the case at 60.
    expect(svg).toMatch(/stroke-width="4"[^>]*d="M72 10V30"/);
    expect(svg).toMatch(/<path d="M80 12A27 27 0 1 0 80 48Z"\/>/);
  });

  it('is there for each diode that is fitted, and for no other', () => {
    const build = withParts(presetBuild('soft-plain'), {
      D1: { type: '1N4148', fit: 'open' },
      D8: { type: 'LED-red' },
      R23: { value: '4k7' },
    });
    const refs = pinoutsOf(build).map(({ ref }) => ref);
    expect(refs).not.toContain('D1');
    expect(refs).not.toContain('D4');
    expect(refs).toEqual(expect.arrayContaining(['D2', 'D3', 'D7', 'D8']));
    // The footswitch has it, not ground.
    expect(netsDrawn(build, 'D8').get('K')).toBe('LED switched');
  });
});

it('keeps the texts of all pinouts apart, whatever type stands there', () => {
  const diodes = typesOf('diode').map((type) => withParts(presetBuild('hard-plain'), { D1: { type } }));
  const chips = typesOf('opamp').map((type) => withParts(presetBuild('soft-plain'), { U1: { type } }));
  const pumps = typesOf('converter').map((type) => withParts(presetBuild('clean-plain'), { U3: { type } }));
  const covered = [...diodes, ...chips, ...pumps].flatMap((build) =>
    pinoutPicture(pinoutsOf(build))
      .elements.split('\n')
      .flatMap((cell) => {
        const texts = textBoxes(cell);
        return texts.flatMap(({ text, box }, index) => [
          ...texts
            .slice(index + 1)
            .filter((other) => overlap(box, other.box))
            .map((other) => `${text} on ${other.text}`),
          ...(box.left < 0 || box.right > 320 ? [`${text} is cut`] : []),
        ]);
      }),
  );
  expect(covered).toEqual([]);
});

/** Node of a build's network on a net of the board. */
function nodeOf(build: Build, net: string | undefined): string | undefined {
  const pin = [...circuitNets(fittedCircuit(build)).netOf].find(([, name]) => name === net)?.[0];
  return pin === undefined ? undefined : netsOf(build)(pin);
}
