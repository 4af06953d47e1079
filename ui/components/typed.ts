import { noChange } from 'lit';
import { Directive, directive, type PropertyPart } from 'lit/directive.js';
import { setCommittedValue } from 'lit/directive-helpers.js';

/** Fields whose text a person is in the middle of changing. */
const underHand = new WeakSet<Element>();

/**
 * The text of a field: as `live`, what the state says is put back into the field whenever it is drawn, so that a refused
 * text goes. But not while somebody types there: components that show what sounds are drawn anew with every frame, and
 * would undo each letter. From the first `input` to `change` or to the loss of the focus the field is left alone.
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
    // Forgets what was written last, so that it is written anew.
    setCommittedValue(part);
    return text;
  }

  #watch(field: HTMLInputElement): void {
    this.#field = field;
    field.addEventListener('input', () => underHand.add(field));
    // Ahead of the component's own handlers, after which it is drawn with what the state then says.
    for (const end of ['change', 'blur'])
      field.addEventListener(end, () => underHand.delete(field), { capture: true });
    field.addEventListener('keydown', ({ key }) => key === 'Escape' && underHand.delete(field));
  }
}

export const typed = directive(TypedDirective);
