import { readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { knobTurns } from '../../engine/analysis/knob-turn.ts';
import { type Build, startingBuild } from '../../engine/builds/build.ts';
import { switchPositions } from '../../engine/builds/control-positions.ts';
import { hardwareOf } from '../../engine/builds/hardware.ts';
import { netsOf, networkOf } from '../../engine/builds/network-of-build.ts';
import { readCircuit } from '../../engine/circuits/bundled-circuits.ts';
import type { FootswitchPosition } from '../../engine/circuits/circuit.ts';
import { circuitNets } from '../../engine/circuits/circuit-nets.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import type { GridPoint } from '../../engine/circuits/part-spec.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { overlap } from '../../engine/drawing/geometry.ts';
import { trackFraction } from '../../engine/units/taper.ts';
import { wireRows } from '../../engine/wiring/wire-list.ts';
import { wiringOf } from '../../engine/wiring/wiring-of-build.ts';
import { svgDocument, wiringPicture } from '../../engine/wiring/wiring-svg.ts';
import { presetBuild } from '../preset-build.ts';
import { type DrawnLug, Joined, lugsOf, textBoxes, wiresOf } from './drawn-wires.ts';
import { STAGE_CIRCUITS } from './stage-circuits.ts';

/**
 * The drawing is read from its SVG: where a wire ends on a lug, it joins it. Contacts are closed as the drawing says: of the
 * footswitch the middle of a row to the left or the right, of a toggle switch as the line beside it says, of the jack and the
 * socket as a plug does it. What is joined then must be what the build's network joins.
 */
const PRESETS = readdirSync(new URL('../../presets', import.meta.url))
  .filter((name) => name.endsWith('.json') && !name.includes('schema') && !name.startsWith('chain'))
  .map((name) => name.replace('.json', ''));

interface Case {
  readonly name: string;
  readonly build: Build;
}

const withKinds = (name: string, build: Build): readonly Case[] =>
  build.circuit.bypass.kinds.map((bypass) => ({ name: `${name}, ${bypass}`, build: { ...build, bypass } }));

const BUILDS: readonly Case[] = [
  ...PRESETS.flatMap((name) => withKinds(name, presetBuild(name))),
  ...Object.entries(STAGE_CIRCUITS).flatMap(([name, document]) =>
    withKinds(name, startingBuild(readCircuit(document))),
  ),
];

const drawings = new WeakMap<Build, string>();

/** The SVG of a build, made once. */
function drawn(build: Build): string {
  const known =
    drawings.get(build) ?? svgDocument(wiringPicture(wiringOf(build, longestTurns(build))), 'wiring');
  drawings.set(build, known);
  return known;
}

/** All ways to set the toggle switches. */
function thrown(build: Build): readonly Build[] {
  return build.circuit.switches
    .filter(({ isWiring }) => !isWiring)
    .reduce<readonly Build[]>(
      (builds, { name }) =>
        builds.flatMap((each) =>
          switchPositions(each.circuit, name).map((position) => ({
            ...each,
            switches: { ...each.switches, [name]: position },
          })),
        ),
      [build],
    );
}

interface Plugs {
  readonly jack: boolean;
  readonly socket: boolean;
}

const idOf = ({ part, lug }: Pick<DrawnLug, 'part' | 'lug'>) => `${part}.${lug}`;

/** What the drawing joins. Pads of one net are joined by the board. */
function joinedIn(svg: string, build: Build, position: FootswitchPosition, plugs: Plugs): Joined {
  const joined = new Joined();
  const lugs = lugsOf(svg);
  for (const corners of wiresOf(svg)) {
    const ends = [corners[0]!, corners.at(-1)!].map(([x, y]) =>
      lugs.find(({ at }) => at[0] === x && at[1] === y),
    );
    expect(ends, 'a wire ends on lugs').not.toContain(undefined);
    joined.join(idOf(ends[0]!), idOf(ends[1]!));
  }
  for (const pad of lugs.filter(({ kind }) => kind === 'board')) joined.join(idOf(pad), `net ${pad.net}`);
  for (const [one, other] of footContacts(lugs, position)) joined.join(idOf(one), idOf(other));
  for (const [one, other] of toggleContacts(svg, build)) joined.join(one, other);
  if (plugs.jack) joined.join('input jack.ring', 'input jack.sleeve');
  if (!plugs.socket) joined.join('DC socket.switched', 'DC socket.sleeve');
  return joined;
}

function footContacts(lugs: readonly DrawnLug[], position: FootswitchPosition) {
  const foot = lugs.filter(({ kind }) => kind === 'footswitch');
  const rows = [...new Set(foot.map(({ at }) => at[1]))];
  return rows.map((y) => {
    const row = foot.filter(({ at }) => at[1] === y).sort((one, other) => one.at[0] - other.at[0]);
    expect(row.length).toBe(3);
    return [row[1]!, row[position === 'on' ? 0 : 2]!] as const;
  });
}

/** From the lines "asymmetric: 2–3, 5–6" beside a toggle switch. */
function toggleContacts(svg: string, build: Build): readonly (readonly [string, string])[] {
  const texts = textBoxes(svg).map(({ text }) => text);
  return build.circuit.switches
    .filter(({ ref, isWiring }) => !isWiring && lugsOf(svg).some(({ part }) => part === ref))
    .flatMap(({ ref, name }) => {
      const start = texts.indexOf(`${ref} ${name}`);
      const line = texts.slice(start).find((text) => text.startsWith(`${build.switches[name]}: `))!;
      return [...line.matchAll(/(\S+?)–([^\s,]+)/g)].map(
        ([, one, other]) => [`${ref}.${one}`, `${ref}.${other}`] as const,
      );
    });
}

/** Node of the build's network at each lug and pad. */
function nodesAt(svg: string, build: Build, position: FootswitchPosition): ReadonlyMap<string, string> {
  const nets = netsOf(build, position);
  const pins = [...circuitNets(fittedCircuit(build)).netOf];
  return new Map(
    lugsOf(svg).flatMap((lug) => {
      const pin = lug.kind === 'board' ? pins.find(([, net]) => net === lug.net)?.[0] : lug.pin;
      return pin === undefined ? [] : [[idOf(lug), nets(pin)] as const];
    }),
  );
}

const IN_PLAY: Plugs = { jack: true, socket: false };

/** Lugs that either the drawing or the network joins with others, but not both. */
function differences(svg: string, build: Build, position: FootswitchPosition): readonly string[] {
  const joined = joinedIn(svg, build, position, IN_PLAY);
  const dark =
    position === 'on'
      ? []
      : lugsOf(svg)
          .filter(({ kind }) => kind === 'LED')
          .map(idOf);
  const nodes = [...nodesAt(svg, build, position)].filter(([lug]) => !dark.includes(lug));
  const [nodeOf, setOf] = [new Map<string, string>(), new Map<string, string>()];
  return nodes.flatMap(([lug, node]) => {
    const set = joined.of(lug);
    const isSame = (nodeOf.get(set) ?? node) === node && (setOf.get(node) ?? set) === set;
    nodeOf.set(set, node);
    setOf.set(node, set);
    return isSame ? [] : [`${lug} at ${node}`];
  });
}

/** What is wrong while plugs are out or in, and while the LED is dark: a network knows neither. */
function supplyFaults(svg: string, build: Build): readonly string[] {
  const lugs = lugsOf(svg);
  const [plus, minus] = ['battery.+', 'battery.−'];
  const hasRing = lugs.some((lug) => idOf(lug) === 'input jack.ring');
  const reaches = (joined: Joined, from: string) =>
    lugs.some((lug) => lug.kind === 'board' && joined.of(idOf(lug)) === joined.of(from));
  const unplugged = joinedIn(svg, build, 'on', { jack: false, socket: false });
  const fed = joinedIn(svg, build, 'on', { jack: true, socket: true });
  const bypassed = joinedIn(svg, build, 'bypassed', IN_PLAY);
  const isLit = lugs
    .filter(({ kind }) => kind === 'LED')
    .every((lug) => reaches(bypassed, idOf(lug)) || bypassed.of(idOf(lug)) === bypassed.of('net 0'));
  const hasLed = lugs.some(({ kind }) => kind === 'LED') && lugs.some(({ kind }) => kind === 'footswitch');
  return [
    ...(hasRing && reaches(unplugged, plus!) && reaches(unplugged, minus!) ? ['on without a plug'] : []),
    ...(hasRing && reaches(fed, plus!) ? ['battery and adapter together'] : []),
    ...(hasLed && isLit ? ['lit while bypassed'] : []),
  ];
}

/** The drawing with the last ends of two wires exchanged. */
function flipped(svg: string, one: number, other: number): string {
  const paths = [...svg.matchAll(/<path class="wire"[^>]*?d="([^"]*)"/g)].map(([, d]) => d!);
  const endOf = (d: string) => /L[^L]*$/.exec(d)![0];
  const moved = (d: string, to: string) => d.slice(0, d.length - endOf(d).length) + endOf(to);
  let index = -1;
  return svg.replace(/(<path class="wire"[^>]*?d=")([^"]*)"/g, (_, head: string, d: string) => {
    index++;
    if (index === one) return `${head}${moved(d, paths[other]!)}"`;
    return index === other ? `${head}${moved(d, paths[one]!)}"` : `${head}${d}"`;
  });
}

/** Everything that is wrong in any position of the switches. */
function faults(svg: string, build: Build): readonly string[] {
  return [
    ...thrown(build).flatMap((each) =>
      (['on', 'bypassed'] as const).flatMap((position) => differences(svg, each, position)),
    ),
    ...supplyFaults(svg, build),
  ];
}

describe('the wiring drawing', () => {
  it.each(BUILDS)('joins what the network joins, in every position of the switches: $name', ({ build }) => {
    expect(faults(drawn(build), build)).toEqual([]);
  });

  it('is found wrong if the ends of two wires of other nets are exchanged', () => {
    const build = presetBuild('soft-plain');
    const svg = drawn(build);
    const nets = [...svg.matchAll(/class="wire"[^>]*data-net="([^"]*)"/g)].map(([, net]) => net!);
    const pairs = nets.flatMap((net, one) =>
      [1, 7].flatMap((step) => {
        const other = (one + step) % nets.length;
        return nets[other] === net ? [] : [[one, other] as const];
      }),
    );
    expect(pairs.length).toBeGreaterThan(40);
    const unseen = pairs.filter(([one, other]) => faults(flipped(svg, one, other), build).length === 0);
    // These two are the lugs of one contact, which may change places.
    expect(unseen.map((pair) => pair.map((index) => nets[index]))).toEqual([['LED switched', '0']]);
  });

  it.each(BUILDS)('has its texts and wires apart, and no wire on another: $name', ({ build }) => {
    const svg = drawn(build);
    const texts = textBoxes(svg);
    const wires = wiresOf(svg).map(segmentsOf);
    const lugs = lugsOf(svg);
    const [, width, height] = /viewBox="0 0 ([\d.]+) ([\d.]+)"/.exec(svg)!.map(Number);
    const onTexts = texts.flatMap(({ text, box }, index) => [
      ...texts
        .slice(index + 1)
        .filter((other) => overlap(box, other.box))
        .map((other) => `${text} on ${other.text}`),
      ...wires
        .flat()
        .filter((segment) => overlap(box, thick(segment)))
        .map(() => `wire on ${text}`),
      ...lugs.filter(({ at }) => overlap(box, thick([at, at], 4))).map((lug) => `${idOf(lug)} on ${text}`),
      ...(box.left < 0 || box.top < 0 || box.right > width! || box.bottom > height!
        ? [`${text} is cut`]
        : []),
    ]);
    const onLugs = wiresOf(svg).flatMap((corners) =>
      lugs
        .filter(({ at }) => ![corners[0]!, corners.at(-1)!].some(([x, y]) => x === at[0] && y === at[1]))
        .filter(({ at }) =>
          segmentsOf(corners).some((segment) => overlap(thick([at, at], 4), thick(segment))),
        )
        .map((lug) => `wire past ${idOf(lug)}`),
    );
    const alongOthers = wires.flatMap((own, index) =>
      wires
        .slice(index + 1)
        .flatMap((others) =>
          own.flatMap((one) => others.filter((other) => isAlong(one, other)).map(() => JSON.stringify(one))),
        ),
    );
    expect([...onTexts, ...onLugs, ...alongOthers]).toEqual([]);
  });

  it('has no wire that crosses another in any build of the bench', () => {
    const crossed = BUILDS.flatMap(({ name, build }) => {
      const wires = wiresOf(drawn(build)).map(segmentsOf);
      const count = wires.flatMap((own, index) =>
        wires
          .slice(index + 1)
          .flatMap((others) => own.flatMap((one) => others.filter((other) => isAcross(one, other)))),
      ).length;
      return count > 0 ? [`${name}: ${count}`] : [];
    });
    expect(crossed).toEqual([]);
  });
});

it('says where a circuit has no footswitch among its parts, as in older documents', () => {
  const { items, notes } = wiringOf(presetBuild('soft-plain-revision-1'));
  expect(items.some(({ kind }) => kind === 'footswitch')).toBe(false);
  expect(notes.filter((note) => /footswitch/.test(note))).toEqual([
    'The circuit has no footswitch among its parts: the jacks are drawn at the board.',
  ]);
});

it('names footswitch and toggle switches as the list to order does', () => {
  const wrong = BUILDS.flatMap(({ name, build }) => {
    const drawnLines = wiringOf(build).items.map(({ lines }) => lines.join(' '));
    return hardwareOf(build)
      .filter(({ kind }) => kind === 'footswitch' || kind === 'toggle switch')
      .filter(({ value }) => !drawnLines.some((text) => text.startsWith(value)))
      .map(({ value }) => `${name}: ${value}`);
  });
  expect(wrong).toEqual([]);
});

it('names for each wire to the board parts on its net', () => {
  for (const { build } of BUILDS) {
    const nets = netsOf(build, 'apart');
    const pins = [...circuitNets(fittedCircuit(build)).netOf];
    for (const row of wireRows(build, wiringOf(build)).filter(({ to }) => to === 'board')) {
      const net = row.net === 'ground' ? '0' : row.net;
      const own = pins.find(([, name]) => name === net)![0];
      expect(row.pins.filter((pin) => nets(pin) !== nets(own))).toEqual([]);
    }
  }
});

it('says by how much a clockwise turn changes the level, as the taper has it', () => {
  // An output knob with nothing behind it is a divider: its gain is the share of the track, at a quarter and at three quarters.
  const share = (rotation: number) => trackFraction('audio-15', rotation);
  const decibels = 20 * Math.log10(share(0.75) / share(0.25));
  expect(knobTurns(presetBuild('treble-plain'), NOMINAL_TEMPERATURE_K).get('output')).toBe(
    `clockwise: level +${decibels.toFixed(0)}\u00a0dB`,
  );
  // A low-pass whose resistance falls.
  expect(knobTurns(presetBuild('hard-plain'), NOMINAL_TEMPERATURE_K).get('tone')).toMatch(/treble.\+9/);
});

describe('a potentiometer in the wiring drawing', () => {
  it.each(BUILDS.filter(({ name }) => name.endsWith(', true')))(
    'has its wiper at lug 3 when the knob is fully clockwise, as the engine turns it: $name',
    ({ build }) => {
      const svg = drawn(build);
      for (const { ref, name } of build.circuit.knobs.filter(
        (each) => build.parts[each.ref]!.fit === undefined,
      )) {
        const lugs = ['1', '2', '3'].map(
          (lug) => lugsOf(svg).find((each) => each.part === ref && each.lug === lug)!,
        );
        const ohms = (rotation: number) => trackOhms(build, name, rotation, [lugs[0]!, lugs[1]!]);
        const [whole, law] = [ohms(1), build.parts[ref]!.law!];
        expect(ohms(0)).toBeLessThan(whole / 50);
        // Within the few ohms that remain at the ends of the track.
        for (const rotation of [0.25, 0.5, 0.8])
          expect(Math.abs(ohms(rotation) - trackFraction(law, rotation) * whole)).toBeLessThan(4);
      }
      // From the back: the arrow starts beside lug 1, above, goes round the far side and ends beside lug 3.
      const arrows = [
        ...svg.matchAll(/d="M([\d.]+) ([\d.]+)A15 15 0 1 0 ([\d.]+) ([\d.]+)" data-turn="1 3"/g),
      ];
      const pots = lugsOf(svg).filter(({ kind, lug }) => kind === 'pot' && lug === '2');
      expect(arrows.length).toBe(pots.length);
      pots.forEach(({ at, part }, index) => {
        const [, , fromY, , toY] = arrows[index]!.map(Number);
        const yOf = (lug: string) =>
          lugsOf(svg).find((each) => each.part === part && each.lug === lug)!.at[1];
        expect(Math.sign(fromY! - at[1])).toBe(Math.sign(yOf('1') - at[1]));
        expect(Math.sign(toY! - at[1])).toBe(Math.sign(yOf('3') - at[1]));
      });
    },
  );
});

describe('the supply in the wiring drawing', () => {
  it.each(BUILDS.filter(({ name }) => name.endsWith(', true')))(
    'has plus where the network has the higher voltage: $name',
    ({ build }) => {
      const svg = drawn(build);
      const source = networkOf(build, NOMINAL_TEMPERATURE_K).primitives.find(
        ({ kind }) => kind === 'voltageSource',
      )!;
      if (source.kind !== 'voltageSource') throw new Error('no source');
      const [high, low] = source.volts > 0 ? source.nodes : [source.nodes[1], source.nodes[0]];
      const nodes = nodesAt(svg, build, 'on');
      const joined = joinedIn(svg, build, 'on', IN_PLAY);
      const padsWith = (lug: string) =>
        [...nodes]
          .filter(([each]) => each.startsWith('board.') && joined.of(each) === joined.of(lug))
          .map(([, node]) => node);
      for (const lug of ['DC socket.sleeve', 'battery.+'])
        expect(new Set(padsWith(lug))).toEqual(new Set([high]));
      for (const lug of ['DC socket.pin', 'battery.−'])
        expect(new Set(padsWith(lug))).toEqual(new Set([low]));
    },
  );

  it('warns of plus at ground, and only there', () => {
    const warned = (name: string) =>
      wiringOf(presetBuild(name)).notes.filter((note) => /Plus is at ground/.test(note)).length;
    expect(warned('germanium-fuzz-plain')).toBe(1);
    expect(warned('silicon-fuzz-plain')).toBe(0);
  });

  it('says what a plug in the input jack switches: with plus at ground the adapter too, as drawn', () => {
    for (const [name, text] of [
      ['soft-plain', /switches the battery on. With a battery, put a plug in before you measure/],
      ['germanium-fuzz-plain', /switches battery and adapter on: put a plug in before you measure/],
    ] as const) {
      const build = presetBuild(name);
      const svg = drawn(build);
      const joined = joinedIn(svg, build, 'on', { jack: false, socket: true });
      const reached = (lug: string) =>
        lugsOf(svg).some((each) => each.kind === 'board' && joined.of(idOf(each)) === joined.of(lug));
      const isAdapterOn = reached('DC socket.sleeve') && reached('DC socket.pin');
      expect(isAdapterOn).toBe(name === 'soft-plain');
      expect(wiringOf(build).notes.filter((note) => text.test(note))).toHaveLength(1);
    }
  });

  it('lights the LED: its anode is towards plus, its cathode towards minus, its resistor between', () => {
    for (const [name, grounded] of [
      ['soft-plain', 'K'],
      ['germanium-fuzz-plain', 'A'],
    ] as const) {
      const svg = drawn(presetBuild(name));
      const joined = joinedIn(svg, presetBuild(name), 'on', IN_PLAY);
      const led = lugsOf(svg).filter(({ kind }) => kind === 'LED');
      expect(led.filter((lug) => joined.of(idOf(lug)) === joined.of('net 0')).map(({ lug }) => lug)).toEqual([
        grounded,
      ]);
    }
  });
});

type Segment = readonly [GridPoint, GridPoint];

const segmentsOf = (corners: readonly GridPoint[]): readonly Segment[] =>
  corners.slice(1).map((corner, index) => [corners[index]!, corner]);

/** Box of a wire, which is two pixels wide, or of a lug. */
function thick([[x, y], [toX, toY]]: Segment, by = 1) {
  return {
    left: Math.min(x, toX) - by,
    right: Math.max(x, toX) + by,
    top: Math.min(y, toY) - by,
    bottom: Math.max(y, toY) + by,
  };
}

const isUpright = ([[x], [toX]]: Segment): boolean => x === toX;

/** Whether two wires lie side by side or on each other. */
const isAlong = (one: Segment, other: Segment): boolean =>
  isUpright(one) === isUpright(other) &&
  overlap(thick(one, 2), thick(other, 2)) &&
  sharedLength(one, other) > 0;

function sharedLength(one: Segment, other: Segment): number {
  const axis = isUpright(one) ? 1 : 0;
  const [a, b] = [one, other].map((segment) => segment.map((point) => point[axis]).sort((p, q) => p - q));
  return Math.min(a![1]!, b![1]!) - Math.max(a![0]!, b![0]!);
}

/** Whether two wires cross, not only meet at the lug of one. */
function isAcross(one: Segment, other: Segment): boolean {
  if (isUpright(one) === isUpright(other)) return false;
  const [upright, level] = isUpright(one) ? [one, other] : [other, one];
  const [x, y] = [upright[0][0], level[0][1]];
  const isInside = (at: number, [from, to]: readonly number[]) => (at - from!) * (at - to!) < 0;
  return (
    isInside(
      x,
      level.map((point) => point[0]),
    ) &&
    isInside(
      y,
      upright.map((point) => point[1]),
    )
  );
}

/** Resistance of the network between two neighbouring lugs. */
function trackOhms(
  build: Build,
  knob: string,
  rotation: number,
  [one, other]: readonly [DrawnLug, DrawnLug],
): number {
  const leads = build.circuit.knobs.find(({ name }) => name === knob)!.gang?.knob;
  const knobs = { ...build.knobs, [knob]: rotation, ...(leads !== undefined && { [leads]: rotation }) };
  const nets = netsOf(build);
  const pins = [one.pin!, other.pin!].map(nets);
  const found = networkOf({ ...build, knobs }, NOMINAL_TEMPERATURE_K).primitives.find(
    (each) =>
      each.kind === 'resistor' &&
      each.isTrack &&
      each.ref.startsWith(one.part) &&
      each.nodes[0] === pins[0] &&
      each.nodes[1] === pins[1],
  );
  if (found?.kind !== 'resistor') throw new Error(`no track at ${one.part}`);
  return found.ohms;
}

/** Texts as long as any that is computed. */
const longestTurns = (build: Build) =>
  new Map(
    build.circuit.knobs.map(({ name }) => [
      name,
      'clockwise: bass\u00a0−12\u00a0dB, middle\u00a0+10\u00a0dB, treble\u00a0+22\u00a0dB',
    ]),
  );
