import { css } from 'lit';

/**
 * For a reader with a probe in one hand, 60 cm from the screen: readings are typed and shown larger than the rest. Wide:
 * the table on the left, suspects and notes beside it, each scrolling by itself. On a phone the suspects stay above the rows.
 */
export const voltageStyles = css`
  :host {
    display: flex;
    flex-direction: column;
    gap: var(--gap-2);
    height: 100%;
  }
  h3 {
    margin: 0 0 var(--gap-1);
  }
  p {
    margin: var(--gap-1) 0;
    text-wrap: pretty;
  }
  .head {
    display: flex;
    flex-wrap: wrap;
    gap: var(--gap-2) var(--gap-6);
    align-items: center;
  }
  .meter input {
    width: 5rem;
  }
  .work {
    display: grid;
    grid-template: minmax(0, 1fr) / minmax(0, 1fr) minmax(17rem, 26rem);
    gap: var(--gap-4);
    flex: 1;
    min-height: 0;
  }
  .scroll,
  .side {
    overflow: hidden auto;
    scrollbar-width: thin;
  }
  .side {
    padding-left: var(--gap-4);
    border-left: 1px solid var(--line);
  }
  table {
    font-size: var(--size);
  }
  /* The heading of a table stays above its rows. */
  thead th {
    position: sticky;
    top: 0;
    z-index: 1;
    background: var(--sheet);
  }
  th,
  td {
    vertical-align: middle;
  }
  .part th {
    padding-top: var(--gap-3);
  }
  .volts {
    text-align: right;
    white-space: nowrap;
  }
  .adapter {
    font-size: var(--size-large);
    font-weight: 600;
  }
  td input[type='text'] {
    width: 5.5rem;
    min-height: 2.25rem;
    font: 600 var(--size-large) var(--figures);
  }
  input[aria-invalid='true'] {
    border: 3px solid var(--warning);
  }
  .verdict {
    min-width: 6.5rem;
  }
  .low,
  .high {
    font-weight: 600;
    color: var(--warning);
  }
  .fits {
    color: var(--good);
  }
  .old {
    color: var(--ink-soft);
  }
  ol {
    margin: var(--gap-1) 0;
    padding-left: 1.5rem;
  }
  ol li:first-child {
    font-size: var(--size-large);
    font-weight: 600;
  }
  .explain {
    display: none;
  }
  @media (min-width: 1300px) {
    .explain {
      display: table-cell;
    }
    .why {
      display: none;
    }
  }
  @media (max-width: 740px) {
    :host {
      height: auto;
    }
    .work,
    .side {
      display: contents;
    }
    .diagnosis {
      position: sticky;
      top: calc(-1 * var(--gap-2));
      z-index: 2;
      max-height: 9rem;
      overflow-y: auto;
      background: var(--sheet);
      border-bottom: 1px solid var(--line-strong);
    }
    .scroll {
      order: 1;
      overflow: visible;
    }
    .notes {
      order: 2;
    }
    .part th {
      flex: 1 0 100%;
    }
    /* First line: what is read where, and what it should be. The rest below it. */
    th[scope='row'] {
      flex: 1 0 38%;
    }
    .leg th[scope='row'] {
      flex-basis: 20%;
    }
    .leg td[data-label='net'] {
      flex: 1 0 20%;
    }
    td.volts:not(.adapter) {
      order: 1;
    }
    td.verdict {
      order: 2;
      flex: 1 0 100%;
    }
    td.verdict:not(:has(*)) {
      display: none;
    }
    .volts {
      min-width: 4rem;
      text-align: left;
      white-space: normal;
    }
  }
  @media print {
    td input[type='text'] {
      border-color: #000;
    }
  }
`;
