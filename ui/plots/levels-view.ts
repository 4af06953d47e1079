import type { Level } from '../../engine/analysis/level-map.ts';
import { MOST_LEVELS, SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import { netName } from '../pedal-names.ts';
import type { Known } from './known.ts';
import { hertzText, type LimitMark, type PlotView, voltsText } from './plot-view.ts';

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
 * Peak levels along the signal path, with the swing limits of the active parts: of a steady sine, or live.
 */
export function levelsView({ sine, pedal, hz, peakV }: Known, isLive = false): PlotView {
  // The same net of two pedals is one place, wherever they stand in their chains.
  const a = (sine.a?.levels ?? []).map(withNetName);
  const b = (sine.b?.levels ?? []).map(withNetName);
  const of = pedal === undefined ? '' : ` in ${pedal}`;
  const nets = [...new Set([...a, ...b].map(({ net }) => net))];
  const at = (levels: readonly Level[], net: string) => levels.find((level) => level.net === net);
  const places = nets.map((net) => ({ net, a: at(a, net), b: at(b, net) }));
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
  const names = ['in', ...nets];
  return {
    shape: `levels ${names.join()} ${decades.length}`,
    title: isLive ? `Levels${of}, live` : `Levels${of}, ${voltsText(peakV)} peak at ${hertzText(hz)}`,
    summary: `Peak levels. ${spoken('A', a)} ${spoken('B', b)}`,
    hint:
      isLive && isSilent
        ? 'No levels yet: play something, with the probe on the output.'
        : 'Bars: largest swing around the DC voltage. Lines: limit of the part that drives the net.',
    x: {
      label: 'Along the signal path',
      range: [-0.6, names.length - 0.4],
      ticks: names.map((_, index) => index),
      // Every other name one line lower, since neighbours would touch in a narrow panel.
      tickText: (index) => `${index % 2 === 0 ? '' : '\n'}${names[index]?.replaceAll(' ', '\n') ?? ''}`,
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
    rowNames: names,
    readout: (index) => {
      const place = places[index - 1];
      if (!place) return isLive ? 'Input: see the meter below.' : `Input: ${voltsText(peakV)} peak`;
      return `${place.net} (${(place.a ?? place.b)?.stageTitle}): ${readout('A', place.a)}; ${readout('B', place.b)}`;
    },
  };
}

function withNetName(level: Level): Level {
  return { ...level, net: netName(level.net) };
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

function spoken(letter: string, levels: readonly Level[]): string {
  return levels.map((level) => `${letter}, ${level.net}: ${voltsText(peakOf(level))}.`).join(' ');
}

/** Powers of ten around all levels, with room for the mark of a limit. */
function decadesAround(values: readonly number[]): number[] {
  const first = Math.floor(Math.log10(Math.max(LEAST_V, Math.min(...values)) / 1.5));
  const last = Math.ceil(Math.log10(1.2 * Math.max(...values)));
  return Array.from({ length: last - first + 1 }, (_, index) => 10 ** (first + index));
}
