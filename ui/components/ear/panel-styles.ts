import { css } from 'lit';

/** Shared styles of the panels of the ear room. */
export const panelStyles = css`
  :host {
    display: grid;
    gap: var(--gap-2);
    align-content: start;
  }
  .row {
    display: flex;
    flex-wrap: wrap;
    gap: var(--gap-2);
    align-items: center;
  }
  .small button,
  button.small {
    min-height: 1.75rem;
    font-size: var(--size-small);
  }
  fieldset {
    margin: 0;
    padding: 0;
    border: 0;
    min-width: 0;
  }
  legend {
    padding: 0;
    margin-bottom: var(--gap-1);
  }
  .segments label:has(:disabled) {
    color: var(--ink-soft);
    cursor: default;
  }
  .field {
    display: grid;
    grid-template-columns: 5rem minmax(4rem, 1fr) 3.5rem;
    gap: var(--gap-2);
    align-items: center;
  }
  .field input[type='number'] {
    width: 5rem;
  }
  p {
    text-wrap: pretty;
  }
`;
