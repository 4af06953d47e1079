import { describe, expect, it } from 'vitest';
import type { Build } from '../../engine/builds/build.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { MOST_PIECES, piecesOf, withPieces } from '../../engine/builds/pieces.ts';
import { pieceText } from '../../engine/parts/piece.ts';
import { fitPiece } from '../../engine/parts/piece-fit.ts';
import { reduce } from '../../ui/state/reduce.ts';
import { refused } from '../../ui/state/refused-action.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { presetBuild } from '../preset-build.ts';

const [plain, led] = [presetBuild('soft-plain'), presetBuild('soft-led')];
const piece = (name: string) =>
  fitPiece({
    kind: 'diode',
    name,
    like: '1N4148',
    forward: [
      { currentA: 1e-4, voltageV: 0.5 },
      { currentA: 1e-3, voltageV: 0.61 },
      { currentA: 1e-2, voltageV: 0.74 },
    ],
  });

describe('pieces that the builder has measured', () => {
  it('stay on the list when another build is loaded', () => {
    const state = freshState({ a: withPieces(plain, [piece('from the drawer')]), b: led });
    const { builds } = reduce(state, { type: 'load', slot: 'a', build: led });
    expect(piecesOf(builds.a).map(({ name }) => name)).toEqual(['from the drawer']);
    expect(builds.a.parts).toEqual(led.parts);
    expect(piecesOf(builds.b)).toEqual([]);
  });

  it('are at most as many as a build file can have, those that are fitted among them', () => {
    const fitted = piece('on the board');
    const build: Build = { ...plain, parts: { ...plain.parts, D1: { type: pieceText(fitted) } } };
    const many = Array.from({ length: MOST_PIECES + 20 }, (_, n) => piece(`number ${n}`));
    const full = withPieces(build, many);
    expect(full.pieces).toHaveLength(MOST_PIECES);
    const back = parseBuildFile(serialiseBuild(full));
    expect(piecesOf(back).map(({ name }) => name)).toContain('on the board');
    expect(piecesOf(back)).toHaveLength(MOST_PIECES);
  });
});

describe('a change of what follows the pedal that cannot be played', () => {
  it.each([
    [true, /cannot be played with this cable and input after it\. No DC path/],
    [false, /cannot be played with its output left open\. No DC path/],
  ])('is refused by what was asked for: on is %s', (isOn, words) => {
    const state = freshState({ a: plain, b: led });
    const after = { ...state.after, isOn };
    const { refusal } = refused(state, { type: 'after', after }, { slot: 'a', message: 'No DC path.' });
    expect(refusal?.message).toMatch(words);
  });
});
