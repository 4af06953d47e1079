import { css, unsafeCSS } from 'lit';
import { LABEL_SIZE } from '../../../engine/drawing/placed-part.ts';
import { FLAG_SIZE } from '../../../engine/drawing/stage-drawing.ts';
import { VOLT_SIZE } from '../../../engine/drawing/volt-spots.ts';

/** The sheet: ink on paper, the two builds' colours only where they differ. */
export const schematicStyles = css`
  :host {
    display: flex;
    flex-direction: column;
    min-height: 0;
  }
  header {
    display: flex;
    align-items: center;
    gap: var(--gap-2) var(--gap-3);
    margin-bottom: var(--gap-2);
  }
  h2 {
    flex: 0 1 auto;
    min-width: 6rem;
    overflow: hidden;
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  .stages {
    display: flex;
    flex: 1 1 10rem;
    gap: var(--gap-1);
    min-width: 0;
    overflow-x: auto;
    scrollbar-width: none;
  }
  .stages button {
    flex: none;
    min-height: 1.75rem;
    padding: 0 var(--gap-2);
    font-size: var(--size-small);
    color: var(--ink-soft);
    background: transparent;
    border-color: var(--line);
  }
  @media (max-width: 1000px) {
    header {
      flex-wrap: wrap;
    }
    .stages {
      order: 1;
      flex-basis: 100%;
    }
  }
  .tools {
    display: flex;
    flex: none;
    gap: var(--gap-1);
    margin-left: auto;
  }
  .tools button {
    white-space: nowrap;
    min-height: 1.75rem;
    min-width: 1.75rem;
    font-size: var(--size-small);
  }
  @media (pointer: coarse), (max-width: 740px) {
    .tools button {
      min-width: 44px;
    }
  }
  .paper {
    flex: 1;
    min-height: 12rem;
    overflow: auto;
    touch-action: pan-x pan-y;
    cursor: grab;
    background: var(--sheet);
    border: 1px solid var(--line);
    border-radius: var(--radius);
    scrollbar-width: thin;
    scrollbar-color: var(--track) transparent;
  }
  .paper:active {
    cursor: grabbing;
  }
  svg {
    display: block;
    user-select: none;
  }
  path,
  circle,
  .frame {
    fill: none;
    stroke: var(--ink);
    stroke-width: 0.13;
    stroke-linecap: round;
    stroke-linejoin: round;
  }
  .wire {
    stroke: var(--ink-soft);
  }
  .junction {
    fill: var(--ink-soft);
    stroke: none;
  }
  .reach {
    stroke: transparent;
    stroke-width: 0.9;
  }
  .net {
    cursor: crosshair;
  }
  .net.ground {
    cursor: default;
  }
  .pin {
    fill: transparent;
    stroke: none;
  }
  /* They lie over leads and labels of the parts, which are to be seen through them. */
  .net:hover .reach,
  .net:hover .pin,
  .probed .reach,
  .probed .pin {
    mix-blend-mode: var(--marker);
  }
  .net:not(.ground):hover .reach {
    stroke: var(--chosen);
  }
  .net:not(.ground):hover .pin {
    fill: var(--chosen);
  }
  .probed .reach {
    stroke: var(--probe);
  }
  .probed .pin,
  .net.probed:hover .pin {
    fill: var(--probe);
  }
  .probed .wire,
  .probed .junction {
    stroke: var(--ink);
  }
  .probed .flag {
    fill: var(--ink);
    font-weight: 600;
  }
  .thin {
    stroke-width: 0.09;
  }
  .solid {
    fill: var(--ink);
  }
  .body {
    fill: var(--sheet);
  }
  .contact {
    fill: var(--sheet);
  }
  .frame {
    stroke: var(--line-strong);
    stroke-dasharray: 0.4 0.4;
    stroke-width: 0.08;
  }
  .lifted {
    stroke-dasharray: 0.3 0.25;
  }
  .unfitted path,
  .unfitted circle {
    stroke: var(--line-strong);
    stroke-dasharray: 0.25 0.25;
  }
  .bridge {
    stroke-width: 0.2;
  }
  text {
    font: ${unsafeCSS(LABEL_SIZE)}px var(--font);
    fill: var(--ink);
  }
  .ref {
    font-weight: 600;
  }
  .value {
    font-variant-numeric: tabular-nums;
  }
  .flag {
    font-size: ${unsafeCSS(FLAG_SIZE)}px;
    fill: var(--ink-soft);
  }
  .heading {
    font-size: 1.25px;
    font-weight: 600;
    fill: var(--ink-soft);
  }
  .voltages {
    pointer-events: none;
  }
  .voltages.old {
    opacity: 0.4;
  }
  .voltage {
    font-size: ${unsafeCSS(VOLT_SIZE)}px;
    font-variant-numeric: tabular-nums;
    fill: var(--good);
  }
  .leader {
    stroke: var(--good);
    stroke-width: 0.08;
  }
  .volts[aria-pressed='true'] {
    color: var(--sheet);
    background: var(--ink);
    border-color: var(--ink);
  }
  .part {
    cursor: pointer;
  }
  [role='button'] {
    outline: none;
  }
  .hit {
    fill: transparent;
    stroke: none;
  }
  .part:hover .hit {
    fill: var(--hover);
  }
  .part:hover .body {
    fill: var(--hover);
  }
  .selected .hit,
  .part.selected:hover .hit {
    fill: var(--chosen);
    stroke: var(--ink);
    stroke-width: 0.1;
  }
  .together .hit {
    stroke: var(--ink);
    stroke-width: 0.1;
    stroke-dasharray: 0.3 0.2;
  }
  .selected .body,
  .part.selected:hover .body {
    fill: var(--chosen);
  }
  :focus-visible > .hit {
    stroke: var(--focus);
    stroke-width: 0.22;
  }
  .warned .hit {
    stroke: var(--warning);
    stroke-width: 0.18;
    stroke-dasharray: 0.4 0.3;
  }
  .sign path {
    fill: var(--warning);
    stroke: var(--sheet);
  }
  .sign text {
    font-size: 1.2px;
    font-weight: 700;
    fill: var(--sheet);
  }
  .swapped.a .value {
    fill: var(--a-text);
    font-weight: 600;
  }
  .swapped.b .value {
    fill: var(--b-text);
    font-weight: 600;
  }
  @media (min-width: 741px) and (max-height: 860px) {
    .paper {
      min-height: 8rem;
    }
  }
  @media (max-width: 740px) {
    .paper {
      max-height: 70vh;
    }
    .wide {
      display: none;
    }
  }
  @media print {
    :host {
      --ink: #000;
      --ink-soft: #000;
      --line-strong: #000;
      --good: #000;
      --a-text: #000;
      --b-text: #000;
      --sheet: #fff;
      --chosen: #fff;
      --probe: #fff;
    }
    h2 {
      max-width: none;
      color: #000;
    }
    .tools {
      display: none;
    }
    .paper {
      border: 0;
      overflow: visible;
      background: #fff;
    }
    svg {
      width: 100%;
      height: auto;
      max-height: 95vh;
    }
    .net .reach,
    .net .pin,
    .hit,
    .part.together .hit,
    .part.selected .hit {
      stroke: none;
      fill: none;
    }
    .solid,
    .junction,
    text {
      fill: #000 !important;
    }
    .body,
    .contact {
      fill: #fff !important;
    }
  }
`;
