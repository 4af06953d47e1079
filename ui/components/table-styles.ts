import { css } from 'lit';

/** A table with lines between its rows, and quiet headings. */
export const tableStyles = css`
  table {
    width: 100%;
    border-collapse: collapse;
  }
  th,
  td {
    padding: 0.2rem var(--gap-2);
    text-align: left;
    font-weight: inherit;
    border-top: 1px solid var(--line);
  }
  thead th {
    font-size: var(--size-small);
    color: var(--ink-soft);
    border-top: 0;
  }
  @media print {
    tr {
      break-inside: avoid;
    }
  }
`;
