import { css } from 'lit';

/** What the views By ear and Solder share: they scroll by themselves, and hold sheets of paper. */
export const roomStyles = css`
  :host {
    --room-side: var(--gap-6);
    flex: 1;
    min-height: 0;
    overflow-y: auto;
    scrollbar-width: thin;
    scrollbar-color: var(--track) transparent;
  }
  section {
    background: var(--sheet);
    border: 1px solid var(--line);
    border-radius: var(--radius);
    padding: var(--gap-4);
  }
  @media (max-width: 1150px) {
    :host {
      --room-side: var(--gap-4);
    }
  }
`;
