import type { Network } from '../network/network.ts';
import { NodalSystem } from './nodal-system.ts';
import { RestSearch, type RestStatus } from './rest-search.ts';
import { SmallSignal } from './small-signal.ts';
import { SparseEquations } from './sparse-equations.ts';

/**
 * The parts that solve the whole network: its nodal system, the equations whose elimination order operating point and
 * small signal share, and the two objects that use them.
 */
export class NodalAnalysis {
  readonly system: NodalSystem;
  readonly equations: SparseEquations;
  readonly search: RestSearch;
  readonly smallSignal: SmallSignal;

  /** @param network Pruned and checked. */
  constructor(network: Network) {
    this.system = new NodalSystem(network);
    this.equations = new SparseEquations(this.system.pattern, this.system.size);
    this.search = new RestSearch(this.system, this.equations);
    this.smallSignal = new SmallSignal(this.system, this.equations);
  }

  /**
   * Finds the operating point without a starting point, with an elimination order that suits a circuit at switch-on.
   */
  settle(): RestStatus {
    this.search.volts.fill(0);
    this.search.inductorA.fill(0);
    this.linearise();
    this.smallSignal.plan();
    return this.search.fromNothing();
  }

  /** Linearises the system at the state that the search has reached. */
  linearise(): void {
    this.smallSignal.linearise(this.search.volts, this.search.inductorA);
  }
}
