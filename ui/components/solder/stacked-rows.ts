import { css } from 'lit';

/**
 * On a phone each row of a table is a block of its own: a table of many columns does not fit 390 px. A cell says by
 * `data-label` what it is, since the headings are only read aloud then.
 */
export const stackedRows = css`
  @media (max-width: 740px) {
    thead {
      position: absolute;
      width: 1px;
      height: 1px;
      overflow: hidden;
      clip-path: inset(50%);
    }
    table,
    tbody {
      display: block;
    }
    tr {
      display: flex;
      flex-wrap: wrap;
      gap: 2px var(--gap-3);
      align-items: center;
      padding: var(--gap-2) 0;
      border-top: 1px solid var(--line);
    }
    th,
    td {
      padding: 0;
      border-top: 0;
      overflow-wrap: break-word;
    }
    td[data-label]::before {
      content: attr(data-label);
      display: block;
      font: var(--size-small) / 1.2 var(--font);
      color: var(--ink-soft);
    }
    td:empty {
      display: none;
    }
  }
`;
