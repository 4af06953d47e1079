import { derivative, input } from '../devices/formula.ts';
import { OPAMP_PARAMETERS, pinEquation, quiescentCurrent } from '../devices/opamp-equations.ts';
import { FormulaTape } from './formula-tape.ts';

const PINS = ['plus', 'minus', 'out', 'positive', 'negative'] as const;

const tapes = new Map<string, FormulaTape>();

function kept(name: string, make: () => FormulaTape): FormulaTape {
  const tape = tapes.get(name) ?? make();
  tapes.set(name, tape);
  return tape;
}

/**
 * An op-amp's own equation (see `pinEquation`) and its slopes by its inputs: the voltages at its five pins and, where its
 * output counts under load, the current out of it.
 */
export function pinTape(isRanged: boolean, isLoaded: boolean): FormulaTape {
  return kept(`pins ${isRanged} ${isLoaded}`, () => {
    const [plus, minus, out, positive, negative] = PINS.map(input);
    const sourcedA = isLoaded ? input('sourcedA') : undefined;
    const own = pinEquation(isRanged, [plus!, minus!, out!, positive!, negative!], sourcedA);
    const inputs = isLoaded ? [...PINS, 'sourcedA'] : PINS;
    const slopes = inputs.map((name) => derivative(own, input(name)));
    return new FormulaTape([own, ...slopes], inputs, OPAMP_PARAMETERS);
  });
}

/** Its quiescent current and the derivative of that by the voltage between its supply pins. */
export function quiescentTape(): FormulaTape {
  return kept('quiescent', () => {
    const current = quiescentCurrent(input('between'));
    return new FormulaTape([current, derivative(current, input('between'))], ['between'], OPAMP_PARAMETERS);
  });
}
