import { css } from 'lit';

/** The bench's own layout: builds above, parts left, card and plot right, the strip with A and B below. */
export const benchStyles = css`
  :host {
    min-height: 100vh;
    display: grid;
    grid-template-rows: auto auto 1fr auto;
  }
  .top {
    display: grid;
    grid-template-columns: auto 1fr auto;
    gap: var(--gap-6);
    align-items: start;
    padding: var(--gap-3) var(--gap-6);
    border-bottom: 1px solid var(--line);
  }
  h1 {
    margin: 0;
    font-size: 1.375rem;
    line-height: 2rem;
    font-weight: 700;
    letter-spacing: -0.01em;
  }
  .builds {
    display: grid;
    grid-template-columns: 1fr 1fr;
    gap: var(--gap-4) var(--gap-6);
    min-width: 0;
  }
  .tools {
    display: flex;
    flex-wrap: wrap;
    gap: var(--gap-2);
    justify-content: flex-end;
    max-width: 15rem;
  }
  .notice {
    display: flex;
    gap: var(--gap-4);
    align-items: center;
    justify-content: space-between;
    padding: var(--gap-2) var(--gap-6);
    background: var(--chosen);
  }
  .notice.problem {
    background: var(--warning-paper);
    color: var(--warning);
  }
  .notice + .notice {
    border-top: 1px solid var(--line);
  }
  main {
    display: grid;
    grid-template-columns: minmax(0, 1fr) minmax(24rem, 30rem);
    gap: var(--gap-6);
    padding: var(--gap-4) var(--gap-6) var(--gap-6);
    max-width: 100rem;
    width: 100%;
    margin: 0 auto;
  }
  .left,
  .right {
    min-width: 0;
  }
  .right {
    display: grid;
    gap: var(--gap-6);
    align-content: start;
    position: sticky;
    top: 0;
    align-self: start;
    max-height: calc(100vh - 10.5rem);
    overflow-y: auto;
    padding-bottom: var(--gap-4);
  }
  .sheet {
    background: var(--sheet);
    border: 1px solid var(--line);
    border-radius: var(--radius);
    padding: var(--gap-4);
  }
  footer {
    position: sticky;
    bottom: 0;
    z-index: 1;
    display: grid;
    grid-template-columns: minmax(0, 1fr) minmax(14rem, 18rem) minmax(0, 1fr);
    gap: var(--gap-6);
    padding: var(--gap-3) var(--gap-6);
    background: var(--sheet);
    border-top: 1px solid var(--line-strong);
  }
  @media (max-width: 1150px) {
    .top,
    main,
    footer,
    .notice {
      padding-left: var(--gap-4);
      padding-right: var(--gap-4);
    }
    .top {
      grid-template-columns: 1fr auto;
    }
    .builds {
      grid-column: 1 / -1;
      grid-row: 2;
    }
    .tools {
      max-width: none;
    }
    main {
      grid-template-columns: minmax(0, 1fr) minmax(20rem, 23rem);
      gap: var(--gap-4);
    }
    footer {
      gap: var(--gap-4);
      grid-template-columns: minmax(0, 1fr) 13rem minmax(0, 1fr);
    }
  }
  @media (max-width: 700px) {
    .builds,
    main {
      grid-template-columns: minmax(0, 1fr);
    }
    .right {
      position: static;
      max-height: none;
      overflow: visible;
    }
    footer {
      grid-template-columns: minmax(0, 1fr) minmax(0, 1fr);
      gap: var(--gap-2) var(--gap-3);
      max-height: 45vh;
      overflow-y: auto;
    }
    input-panel {
      grid-column: 1 / -1;
      order: 1;
    }
  }
`;
