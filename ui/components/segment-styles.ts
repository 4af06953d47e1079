import { css } from 'lit';

/** Radio buttons as one row of segments; for a label that holds its input and its word. */
export const segmentStyles = css`
  .segments {
    display: flex;
    flex-wrap: wrap;
    row-gap: 2px;
    font-size: var(--size-small);
  }
  .segments label {
    position: relative;
    flex: 0 1 auto;
    padding: 0.15rem var(--gap-2);
    margin-left: -1px;
    text-align: center;
    background: var(--sheet);
    border: 1px solid var(--line-strong);
    cursor: pointer;
  }
  .segments label:first-of-type {
    margin-left: 0;
    border-radius: var(--radius) 0 0 var(--radius);
  }
  .segments label:last-of-type {
    border-radius: 0 var(--radius) var(--radius) 0;
  }
  .segments label:hover {
    background: var(--hover);
  }
  .segments label:has(:checked) {
    background: var(--chosen);
    font-weight: 600;
    box-shadow: inset 0 -3px var(--accent, var(--ink));
  }
  .segments label:has(:focus-visible) {
    outline: 2px solid var(--focus);
    outline-offset: 2px;
    z-index: 1;
  }
  .segments input {
    appearance: none;
    position: absolute;
    inset: 0;
    margin: 0;
    outline: none;
    cursor: pointer;
  }
`;
