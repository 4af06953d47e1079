import type { BuildWarning } from '../engine/analysis/build-warnings.ts';
import type { Build } from '../engine/builds/build.ts';
import type { Analyser } from './plots/analyser.ts';

export const NO_WARNINGS: readonly BuildWarning[] = [];

/** The part of the analyser that is used. */
type Asked = Pick<Analyser, 'ask'>;

interface Checked {
  readonly temperatureC: number;
  /** Those of the build before the change, until this one is checked. */
  readonly warnings: readonly BuildWarning[];
}

/** Warnings of the pedals on the bench. They belong to a build and go with it, wherever it stands. */
export class PedalWarnings {
  readonly #checked = new WeakMap<Build, Checked>();
  #builds: readonly Build[] = [];

  of(build: Build): readonly BuildWarning[] {
    return this.#checked.get(build)?.warnings ?? NO_WARNINGS;
  }

  /**
   * Checks the builds that have changed, or all after a change of temperature.
   *
   * @param found Called when warnings have been found.
   */
  check(builds: readonly Build[], temperatureC: number, analyser: Asked, found: () => void): void {
    const before = this.#builds;
    this.#builds = builds;
    for (const build of builds) {
      const known = this.#checked.get(build);
      if (known?.temperatureC === temperatureC) continue;
      const edited = before.find((each) => !builds.includes(each) && isEdit(each, build));
      const warnings = known?.warnings ?? (edited ? this.of(edited) : NO_WARNINGS);
      this.#checked.set(build, { temperatureC, warnings });
      void this.#find({ build, temperatureC }, analyser, found);
    }
  }

  async #find(asked: Conditions, analyser: Asked, found: () => void): Promise<void> {
    const { build, temperatureC } = asked;
    const index = this.#builds.indexOf(build);
    const answer = await analyser.ask(`warnings ${index}`, { kind: 'warnings', build, temperatureC });
    if (this.#checked.get(build)?.temperatureC !== temperatureC) return;
    const now = this.#builds.indexOf(build);
    if (answer?.kind === 'refused') this.#tell(asked, [{ ref: '', message: answer.message, source: '' }]);
    else if (answer?.kind === 'result') this.#tell(asked, answer.result);
    // Another pedal has taken its place in the line of queries.
    else if (!answer && now >= 0 && now !== index) return this.#find(asked, analyser, found);
    else if (!answer) this.#checked.delete(build);
    if (answer) found();
  }

  #tell({ build, temperatureC }: Conditions, warnings: readonly BuildWarning[]): void {
    this.#checked.set(build, { temperatureC, warnings });
  }
}

/** Warnings depend on these. */
interface Conditions {
  readonly build: Build;
  readonly temperatureC: number;
}

/** Whether one build has become the other by a change of a part or a knob: the warnings of the one do not go out meanwhile. */
function isEdit(before: Build, after: Build): boolean {
  return before.circuit === after.circuit && before.title === after.title;
}
