import { css } from 'lit';

/** Controls and type as every component shows them. */
export const sharedStyles = css`
  :host {
    display: block;
    font: var(--size) / 1.4 var(--font);
    color: var(--ink);
  }
  * {
    box-sizing: border-box;
  }
  h2,
  h3,
  p,
  ul {
    margin: 0;
    padding: 0;
  }
  h2 {
    font-size: var(--size-small);
    font-weight: 600;
    letter-spacing: 0.04em;
    color: var(--ink-soft);
  }
  button,
  select,
  input {
    font: inherit;
    color: inherit;
  }
  button,
  select,
  input[type='text'],
  input[type='number'] {
    min-height: 2rem;
    padding: 0 var(--gap-2);
    background: var(--sheet);
    border: 1px solid var(--line-strong);
    border-radius: var(--radius);
  }
  select {
    max-width: 100%;
  }
  button {
    cursor: pointer;
  }
  button:hover:not(:disabled) {
    background: var(--hover);
  }
  button:disabled {
    color: var(--ink-soft);
    border-color: var(--line);
    cursor: default;
  }
  button[aria-pressed='true'],
  button[aria-pressed='true']:hover:not(:disabled) {
    background: var(--ink);
    color: var(--paper);
    border-color: var(--ink);
  }
  label.option {
    display: inline-flex;
    gap: var(--gap-1);
    align-items: center;
  }
  input[type='checkbox'] {
    accent-color: var(--ink);
    margin: 0;
  }
  :focus-visible {
    outline: 2px solid var(--focus);
    outline-offset: 2px;
  }
  input[type='range'] {
    --fill: var(--accent, var(--ink));
    appearance: none;
    width: 100%;
    height: 1.5rem;
    margin: 0;
    background: transparent;
    cursor: pointer;
  }
  input[type='range']::-webkit-slider-runnable-track {
    height: 3px;
    border-radius: 2px;
    background: linear-gradient(var(--fill), var(--fill)) 0 0 / calc(100% * var(--turn, 0)) 100% no-repeat var(--track);
  }
  input[type='range']::-webkit-slider-thumb {
    appearance: none;
    width: 0.625rem;
    height: 1.125rem;
    margin-top: calc((3px - 1.125rem) / 2);
    background: var(--fill);
    border: 2px solid var(--paper);
    border-radius: var(--radius);
  }
  input[type='range']::-moz-range-track {
    height: 3px;
    border-radius: 2px;
    background: var(--track);
  }
  input[type='range']::-moz-range-progress {
    height: 3px;
    border-radius: 2px;
    background: var(--fill);
  }
  input[type='range']::-moz-range-thumb {
    width: 0.375rem;
    height: 0.875rem;
    background: var(--fill);
    border: 2px solid var(--paper);
    border-radius: var(--radius);
  }
  .figures {
    font-family: var(--figures);
    font-variant-numeric: tabular-nums;
  }
  .soft {
    color: var(--ink-soft);
  }
  .small {
    font-size: var(--size-small);
  }
  .problem {
    color: var(--warning);
  }
  .letter {
    display: inline-block;
    min-width: 1.4em;
    padding: 0 0.25em;
    border-radius: var(--radius);
    font-weight: 600;
    line-height: 1.4;
    text-align: center;
  }
  .letter.a {
    background: var(--a);
    color: var(--on-a);
  }
  .letter.b {
    background: var(--b);
    color: var(--on-b);
  }
  /* A finger needs 44 px (WCAG 2.5.5), on whatever a component draws smaller for a mouse. */
  @media (pointer: coarse), (max-width: 740px) {
    button,
    select,
    summary,
    input[type='text'],
    input[type='number'],
    input[type='range'] {
      min-height: 44px !important;
    }
    button {
      min-width: 44px;
    }
    label.option,
    label:has(> input[type='checkbox']),
    .segments label {
      display: inline-flex;
      align-items: center;
      min-height: 44px;
    }
    input[type='checkbox'] {
      width: 1.25rem;
      height: 1.25rem;
    }
  }
  /* Printers leave backgrounds out. */
  @media print {
    .letter.a,
    .letter.b {
      background: none;
      border: 1px solid #000;
    }
  }
  .visually-hidden {
    position: absolute;
    width: 1px;
    height: 1px;
    overflow: hidden;
    clip-path: inset(50%);
    white-space: nowrap;
  }
`;
