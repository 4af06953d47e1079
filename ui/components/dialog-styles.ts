import { css } from 'lit';

/** A dialog over the bench. */
export const dialogStyles = css`
  dialog {
    width: min(32rem, 92vw);
    padding: var(--gap-6);
    color: var(--ink);
    background: var(--sheet);
    border: 1px solid var(--line-strong);
    border-radius: var(--radius);
    box-shadow: var(--shadow);
  }
  dialog::backdrop {
    background: rgb(0 0 0 / 50%);
  }
  dialog h2 {
    margin-bottom: var(--gap-2);
    font-size: var(--size-large);
    color: var(--ink);
    letter-spacing: 0;
  }
`;
