import type { ReactiveController, ReactiveControllerHost } from 'lit';
import type { NetVolts } from '../../../engine/analysis/net-volts.ts';
import type { Sheet } from '../../../engine/drawing/sheet.ts';
import { type VoltSpot, voltSpots } from '../../../engine/drawing/volt-spots.ts';
import { dataText } from '../../data-text.ts';
import type { Analyser } from '../../plots/analyser.ts';
import type { BenchState } from '../../state/bench-state.ts';
import { playedBuild } from '../../state/played-network.ts';

/** The DC voltages of the build that plays, computed in a worker while they are shown. */
export class SheetVolts implements ReactiveController {
  readonly #host: ReactiveControllerHost;
  readonly #read: () => { readonly state: BenchState; readonly analyser: Analyser | undefined };
  #isShown = false;
  #volts: NetVolts = {};
  #trouble: string | undefined;
  #isOld = false;
  #asked = '';
  #askedBuild: unknown;
  #places: { readonly sheet: Sheet; readonly nets: string; readonly spots: readonly VoltSpot[] } | undefined;

  constructor(
    host: ReactiveControllerHost,
    read: () => { readonly state: BenchState; readonly analyser: Analyser | undefined },
  ) {
    this.#host = host;
    this.#read = read;
    host.addController(this);
  }

  get isShown(): boolean {
    return this.#isShown;
  }

  get volts(): NetVolts {
    return this.#isShown ? this.#volts : {};
  }

  /** Why there are none, in one sentence. */
  get trouble(): string | undefined {
    return this.#isShown ? this.#trouble : undefined;
  }

  /** Those of another build or other conditions are still shown, until the new ones are computed. */
  get isOld(): boolean {
    return this.#isOld;
  }

  toggle(): void {
    this.#isShown = !this.#isShown;
    this.#host.requestUpdate();
  }

  hostUpdated(): void {
    const { state, analyser } = this.#read();
    if (!this.#isShown || !analyser) return;
    const { instrument: _, ...played } = playedBuild(state, state.heard);
    const { build, ...conditions } = played;
    const asked = dataText(conditions);
    if (build === this.#askedBuild && asked === this.#asked) return;
    [this.#askedBuild, this.#asked] = [build, asked];
    this.#isOld = true;
    this.#host.requestUpdate();
    void analyser.ask('sheet volts', { kind: 'volts', played }).then((answer) => {
      // A later question replaced it.
      if (!answer || build !== this.#askedBuild || asked !== this.#asked) return;
      this.#isOld = false;
      this.#volts = answer.kind === 'result' ? answer.result : {};
      this.#trouble = answer.kind === 'refused' ? answer.message : undefined;
      this.#host.requestUpdate();
    });
  }

  /** Places on a sheet; they stay while the same nets have a voltage. */
  spotsOn(sheet: Sheet): readonly VoltSpot[] {
    const nets = Object.keys(this.volts);
    const key = nets.join();
    if (this.#places?.sheet !== sheet || this.#places.nets !== key)
      this.#places = { sheet, nets: key, spots: voltSpots(sheet, nets) };
    return this.#places.spots;
  }
}
