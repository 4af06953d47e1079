import { noChange } from 'lit';
import { Directive, directive, type PropertyPart } from 'lit/directive.js';
import { setCommittedValue } from 'lit/directive-helpers.js';

/** Fields that the user is editing. */
const underHand = new WeakSet<Element>();

/**
 * The text of a field. Like `live`, it writes the state's text at every drawing, so that a refused text
 * disappears. But not while the user types: components with live data are drawn in every frame, and would undo
 * each letter. From the first `input` to `change` or the loss of focus the field is left alone.
 */
class TypedDirective extends Directive {
  #field: HTMLInputElement | undefined;

  override render(text: string): string {
    return text;
  }

  override update(part: PropertyPart, [text]: [string]): unknown {
    const field = part.element as HTMLInputElement;
    if (this.#field !== field) this.#watch(field);
    if (underHand.has(field) || field.value === text) return noChange;
    // Forgets the last text, so that it is written again.
    setCommittedValue(part);
    return text;
  }

  #watch(field: HTMLInputElement): void {
    this.#field = field;
    field.addEventListener('input', () => underHand.add(field));
    // Before the component's own handlers, which redraw it with the new state.
    for (const end of ['change', 'blur'])
      field.addEventListener(end, () => underHand.delete(field), { capture: true });
    field.addEventListener('keydown', ({ key }) => key === 'Escape' && underHand.delete(field));
  }
}

export const typed = directive(TypedDirective);
