import type { Level } from '../../engine/analysis/level-map.ts';
import { MOST_LEVELS, SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import { netName } from '../pedal-names.ts';
import type { Known } from './known.ts';
import type { LevelPedal } from './level-pedals.ts';
import { hertzText, type LimitMark, type PlaceGroup, type PlotView, voltsText } from './plot-view.ts';

/** Smaller levels count as nothing, V. */
const LEAST_V = 1e-4;

/** Lower end of the axis for live levels, V, so that the axis does not move. */
const LEAST_LIVE_V = 2e-3;
/** Decay of a live level from one drawing to the next: half a second at twenty drawings a second. */
const HOLD = 0.9;

/** Live levels: those of a steady sine, replaced by the levels last reached. */
export class LiveLevels {
  readonly #held = new Float64Array(4 * MOST_LEVELS);

  /** @param values See LEVELS_START; NaN for a level that was not measured. */
  held(known: Known, values: Float32Array): Known {
    const held = this.#held;
    for (let index = 0; index < held.length; index++)
      held[index] = Math.max(HOLD * held[index]!, values[index]! > 0 ? values[index]! : 0);
    const of = (slot: Slot) => {
      const analysis = known.sine[slot];
      const start = 2 * MOST_LEVELS * SLOTS.indexOf(slot);
      return (
        analysis && {
          ...analysis,
          levels: analysis.levels.slice(0, MOST_LEVELS).map((level, index) => ({
            ...level,
            upV: held[start + 2 * index]!,
            downV: held[start + 2 * index + 1]!,
          })),
        }
      );
    };
    return { ...known, sine: { a: of('a'), b: of('b') } };
  }
}

/**
 * Peak levels along the signal path, with the swing limits of the active parts: of a steady sine, or live. In a chain those of
 * each pedal, beside those of its counterpart on the other side.
 */
export function levelsView({ sine, pedals, hz, peakV }: Known, isLive = false): PlotView {
  const places = pedals.flatMap((pedal) => placesIn(pedal, sine));
  const isChain = pedals.length > 1;
  const columnOf = (slot: Slot) => [
    isLive ? null : peakV,
    ...places.map((place) => (place[slot] && peakOf(place[slot]) > LEAST_V ? peakOf(place[slot]) : null)),
  ];
  const limitsOf = (slot: Slot) => [
    null,
    ...places.map((place) => place[slot] && nearerLimit(place[slot])).map((limit) => limit ?? null),
  ];
  const marks = places.flatMap((place, index): LimitMark[] =>
    (['a', 'b'] as const).flatMap((slot) => {
      const level = place[slot];
      const y = level && nearerLimit(level);
      return y === undefined ? [] : [{ x: index + 1, y, ink: slot }];
    }),
  );
  const values = [...columnOf('a'), ...columnOf('b'), ...marks.map(({ y }) => y)].flatMap(
    (value) => value ?? [],
  );
  const decades = decadesAround(isLive ? [LEAST_LIVE_V, ...marks.map(({ y }) => y)] : values);
  const isSilent = values.length === marks.length;
  const names = ['in', ...places.map(({ net }) => net)];
  const rowNames = ['in', ...places.map(({ name }) => name)];
  const title = isChain ? 'Levels along the chain' : 'Levels';
  return {
    shape: `levels ${rowNames.join()} ${decades.length}`,
    title: isLive ? `${title}, live` : `${title}, ${voltsText(peakV)} peak at ${hertzText(hz)}`,
    summary: `Peak levels. ${spoken('a', places)} ${spoken('b', places)}`,
    hint:
      isLive && isSilent
        ? 'No levels yet: play something, with the probe on the output.'
        : 'Bars: largest swing around the DC voltage. Lines: limit of the part that drives the net.',
    x: {
      label: 'Along the signal path',
      range: [-0.6, names.length - 0.4],
      ticks: names.map((_, index) => index),
      tickText: (index) => tickText(names, index),
    },
    y: {
      label: 'Peak volts',
      isLogarithmic: true,
      range: [decades[0]!, decades.at(-1)!],
      ticks: decades,
      tickText: voltsText,
    },
    series: [
      { name: 'A, V peak', ink: 'a', bars: 'left' },
      { name: 'B, V peak', ink: 'b', bars: 'right' },
    ],
    data: [names.map((_, index) => index), columnOf('a'), columnOf('b')],
    marks,
    more: [
      { name: 'A limit, V peak', column: limitsOf('a') },
      { name: 'B limit, V peak', column: limitsOf('b') },
    ],
    rowHeading: 'Net',
    rowNames,
    ...(isChain && { groups: groupsOf(pedals, places) }),
    readout: (index) => {
      const place = places[index - 1];
      if (!place) return isLive ? 'Input: see the meter below.' : `Input: ${voltsText(peakV)} peak`;
      return `${place.name} (${(place.a ?? place.b)?.stageTitle}): ${readout('A', place.a)}; ${readout('B', place.b)}`;
    },
  };
}

/** A net of the signal path, with its levels in A and in B. */
interface LevelPlace {
  readonly pedal: LevelPedal;
  readonly net: string;
  /** With the pedal, in a chain. */
  readonly name: string;
  readonly a: Level | undefined;
  readonly b: Level | undefined;
}

/** The same net of a pedal and of its counterpart is one place, wherever the two stand in their chains. */
function placesIn(pedal: LevelPedal, sine: Known['sine']): readonly LevelPlace[] {
  const of = (slot: Slot) => {
    const unit = pedal.units[slot];
    if (unit === undefined) return [];
    return (sine[slot]?.levels ?? []).filter(({ net }) => net === unit + netName(net));
  };
  const [a, b] = [of('a'), of('b')];
  const nets = [...new Set([...a, ...b].map(({ net }) => netName(net)))];
  const at = (levels: readonly Level[], net: string) => levels.find((level) => netName(level.net) === net);
  return nets.map((net) => {
    const name = pedal.name === '' ? net : `${pedal.name} ${net}`;
    return { pedal, net, name, a: at(a, net), b: at(b, net) };
  });
}

function groupsOf(pedals: readonly LevelPedal[], places: readonly LevelPlace[]): readonly PlaceGroup[] {
  return pedals.flatMap((pedal) => {
    const own = places.flatMap((place, index) => (place.pedal === pedal ? [index + 1] : []));
    const title = `${pedal.name.replace('pedal ', '')} ${pedal.circuit}`;
    return own.length === 0 ? [] : [{ title, first: own[0]!, last: own.at(-1)! }];
  });
}

/** Names of neighbours stand on lines below each other, since they would touch in a narrow panel. */
function tickText(names: readonly string[], index: number): string {
  const lanes = names.length <= 9 ? 2 : names.length <= 15 ? 3 : 4;
  const name = names[index] ?? '';
  // With two lines there is room for a second word below the first.
  return '\n'.repeat(index % lanes) + (lanes === 2 ? name.replaceAll(' ', '\n') : name);
}

function peakOf({ upV, downV }: Level): number {
  return Math.max(upV, downV);
}

/** Remaining ratio to the nearer limit, and that limit relative to the DC voltage, V. */
function headroom({
  limit,
  upV,
  downV,
}: Level): { readonly ratio: number; readonly volts: number } | undefined {
  if (!limit) return undefined;
  const up = limit.highV - limit.restV;
  const down = limit.restV - limit.lowV;
  return up / upV < down / downV ? { ratio: up / upV, volts: up } : { ratio: down / downV, volts: down };
}

function nearerLimit(level: Level): number | undefined {
  return headroom(level)?.volts;
}

function readout(letter: string, level: Level | undefined): string {
  if (!level) return `${letter} has no such net`;
  const swing = `${letter} +${voltsText(level.upV)} / −${voltsText(level.downV)}`;
  const room = headroom(level);
  if (!room || !level.limit) return swing;
  const { highV, lowV, restV, ref } = level.limit;
  const left = 20 * Math.log10(room.ratio);
  const said = left < 0.5 ? 'at its limit' : Number.isFinite(left) ? `${left.toFixed(0)} dB left` : 'silent';
  return `${swing} of +${voltsText(highV - restV)} / −${voltsText(restV - lowV)} (${ref}, ${said})`;
}

function spoken(slot: Slot, places: readonly LevelPlace[]): string {
  const told = places.flatMap(({ name, [slot]: level }) =>
    level ? [`${slot.toUpperCase()}, ${name}: ${voltsText(peakOf(level))}.`] : [],
  );
  return told.join(' ');
}

/** Powers of ten around all levels, with room for the mark of a limit. */
function decadesAround(values: readonly number[]): number[] {
  const first = Math.floor(Math.log10(Math.max(LEAST_V, Math.min(...values)) / 1.5));
  const last = Math.ceil(Math.log10(1.2 * Math.max(...values)));
  return Array.from({ length: last - first + 1 }, (_, index) => 10 ** (first + index));
}
