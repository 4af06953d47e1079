import { html } from 'lit';

/** Radio buttons for what is shown of a panel, with `segmentStyles`. @param label For a screen reader. */
export function partChoice<T extends string>(
  label: string,
  parts: readonly (readonly [part: T, title: string])[],
  shown: T,
  show: (part: T) => void,
) {
  return html`<div class="segments" role="radiogroup" aria-label=${label}>${parts.map(
    ([part, title]) => html`<label>
      <input type="radio" name="part" .checked=${part === shown} @change=${() => show(part)} />${title}
    </label>`,
  )}</div>`;
}
