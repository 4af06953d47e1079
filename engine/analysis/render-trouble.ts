import type { Harmonics } from './harmonics.ts';
import type { RenderCounts } from './offline-render.ts';

/** What of a render's counts should be known, in a sentence; undefined if all samples were solved. */
export function renderTrouble({
  failures,
  resets,
}: Pick<RenderCounts, 'failures' | 'resets'>): string | undefined {
  return failures + resets > 0
    ? `The solver did not converge in ${failures} samples and was reset ${resets} times.`
    : undefined;
}

/** The same of the sines by which distortion is measured. */
export function sineTrouble(sines: readonly Harmonics[]): readonly string[] {
  return sines.flatMap(({ fundamentalHz, inputPeakV, isSettled, failures }) => {
    const sine = `The sine of ${fundamentalHz} Hz and ${inputPeakV} V peak`;
    return [
      isSettled
        ? []
        : `${sine} was not steady after 3 s: the bias drifts or the circuit oscillates. The harmonics are those after 3 s.`,
      failures > 0 ? `${sine}: the solver did not converge in ${failures} samples.` : [],
    ].flat();
  });
}

/** Sentences about one build, each behind its name; there is none where nothing has to be known. */
export function saidOf(name: string, sentences: readonly (string | undefined)[]): readonly string[] {
  return sentences.flatMap((text) => (text === undefined ? [] : name === '' ? text : `${name}: ${text}`));
}
