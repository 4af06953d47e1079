import { css } from 'lit';

/** The dialog of the measured parts: typing at the left, guide, curve and kept parts at the right. */
export const measuredStyles = css`
  :host {
    display: contents;
  }
  dialog {
    width: min(64rem, 96vw);
    max-height: 94vh;
    padding: var(--gap-4) var(--gap-6);
    overflow: auto;
  }
  .head,
  .end,
  .bar {
    display: flex;
    flex-wrap: wrap;
    gap: var(--gap-2);
    align-items: center;
  }
  .head h2 {
    flex: 1;
    margin: 0;
  }
  .columns {
    display: grid;
    grid-template-columns: minmax(0, 25rem) minmax(0, 1fr);
    gap: var(--gap-6);
    margin-top: var(--gap-3);
  }
  form {
    display: grid;
    gap: var(--gap-1);
    align-content: start;
  }
  .row {
    display: grid;
    grid-template-columns: 10.5rem minmax(0, 1fr);
    gap: var(--gap-2);
    align-items: center;
  }
  .two {
    display: grid;
    grid-template-columns: 1fr 1fr;
    gap: var(--gap-2);
  }
  input,
  select {
    min-width: 0;
    width: 100%;
  }
  h3 {
    margin: var(--gap-3) 0 var(--gap-1);
    font-size: var(--size);
  }
  table {
    border-collapse: collapse;
    font-size: var(--size-small);
  }
  td,
  th {
    padding: 0 var(--gap-4) 0 0;
    text-align: right;
    font-weight: 400;
  }
  td:first-child,
  th:first-child {
    text-align: left;
  }
  .result {
    min-height: 3rem;
    margin-top: var(--gap-2);
  }
  .result p {
    margin: var(--gap-1) 0;
  }
  .drawings {
    display: flex;
    flex-wrap: wrap;
    gap: var(--gap-3);
  }
  figure {
    flex: 1 1 14rem;
    max-width: 18rem;
    margin: 0;
  }
  svg {
    display: block;
    width: 100%;
    max-width: 22rem;
  }
  svg text {
    font: 11px var(--font);
    fill: var(--ink);
  }
  .circuit path,
  .circuit rect,
  .circuit circle,
  .frame {
    fill: none;
    stroke: var(--ink);
    stroke-width: 1.3;
  }
  .circuit circle,
  .circuit rect {
    fill: var(--sheet);
  }
  .circuit .open {
    stroke-dasharray: 3 2;
  }
  .fit polyline {
    fill: none;
    stroke: var(--ink);
    stroke-width: 1.6;
  }
  .fit .typical {
    stroke: var(--ink-soft);
    stroke-dasharray: 4 3;
    stroke-width: 1.2;
  }
  .fit circle {
    fill: var(--sheet);
    stroke: var(--ink);
    stroke-width: 1.6;
  }
  .fit .frame {
    stroke: var(--line-strong);
  }
  ol,
  .cautions {
    margin: var(--gap-2) 0 0;
    padding-left: 1.2rem;
  }
  .cautions {
    color: var(--warning);
  }
  @media (max-width: 56rem) {
    .columns {
      grid-template-columns: minmax(0, 1fr);
      gap: var(--gap-3);
    }
    dialog {
      padding: var(--gap-3);
    }
    .row {
      grid-template-columns: 8.5rem minmax(0, 1fr);
    }
  }
`;
