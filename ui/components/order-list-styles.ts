import { css } from 'lit';

/** The list to order, on the screen and on paper. */
export const orderListStyles = css`
  :host {
    margin-top: var(--gap-2);
  }
  .bar {
    display: flex;
    flex-wrap: wrap;
    gap: var(--gap-2) var(--gap-3);
    align-items: center;
    margin-bottom: var(--gap-2);
  }
  .bar .end {
    display: flex;
    gap: var(--gap-2);
    margin-left: auto;
  }
  fieldset {
    margin: 0;
    padding: 0;
    border: 0;
  }
  .heading {
    display: none;
  }
  th,
  td {
    vertical-align: top;
  }
  th.group {
    padding-top: var(--gap-3);
    font-weight: 600;
    border-top: 0;
  }
  .count,
  .rating {
    white-space: nowrap;
  }
  .count {
    text-align: right;
  }
  .what {
    min-width: 7rem;
  }
  .stock {
    display: block;
    color: var(--good);
  }
  .stock.buy {
    color: var(--ink);
    font-weight: 600;
  }
  .more {
    font-size: var(--size-small);
    color: var(--ink-soft);
    overflow-wrap: anywhere;
  }
  .places {
    overflow-wrap: anywhere;
  }
  button.pair {
    display: block;
    min-height: 1.6rem;
  }
  .bands {
    display: inline-block;
    margin-right: var(--gap-1);
    vertical-align: middle;
  }
  summary {
    cursor: pointer;
    min-height: 0 !important;
  }
  details ul {
    padding-left: var(--gap-4);
  }
  @media (max-width: 740px) {
    thead {
      display: none;
    }
    tr.row {
      display: grid;
      grid-template-columns: 2.6rem minmax(0, 1fr) auto;
      border-top: 1px solid var(--line);
    }
    tr.row td {
      border-top: 0;
    }
    .places,
    .more {
      grid-column: 2 / -1;
    }
    .what {
      min-width: 0;
    }
    th.group {
      display: block;
    }
  }
  @media print {
    :host {
      display: block;
      overflow: visible;
    }
    .bar,
    p.pair,
    button.pair,
    .note.screen {
      display: none;
    }
    .heading {
      display: block;
      margin-bottom: var(--gap-2);
    }
    .heading h2 {
      font-size: var(--size-large);
    }
    thead {
      display: table-header-group;
    }
    table {
      font-size: 0.72rem;
    }
    th,
    td {
      padding: 0.1rem 0.3rem;
    }
    tbody {
      break-inside: auto;
    }
    th.group {
      break-after: avoid;
    }
    details > ul {
      display: none;
    }
    summary {
      list-style: none;
    }
  }
`;
