import { html, nothing } from 'lit';
import type { MeasuredPart } from '../../../engine/builds/measured-parts.ts';
import { pointDoubts } from '../../../engine/parts/battery-measurement.ts';
import { type FitRange, fitRanges, leftOpen } from '../../../engine/parts/fit-range.ts';
import { junctionKind } from '../../../engine/parts/junction-kind.ts';
import {
  fitTaper,
  isPassive,
  type PassivePiece,
  valueDoubt,
  valueMiss,
} from '../../../engine/parts/passive-piece.ts';
import type { DiodePiece, Piece } from '../../../engine/parts/piece.ts';
import { type FitMiss, fitMisses, fitWarnings } from '../../../engine/parts/piece-fit.ts';
import { quantityText } from '../../../engine/units/quantity-text.ts';
import { potTitle } from '../../../engine/units/taper.ts';

/** The model of a part beside what was measured, and what is not sure about it. */
export function measuredResult(part: MeasuredPart) {
  return isPassive(part) ? valueResult(part) : fitResult(part);
}

function fitResult(piece: Piece) {
  const doubts = piece.kind === 'diode' ? pointDoubts(piece.forward) : [];
  return html`<table>
      <thead><tr><th scope="col">fit</th><th scope="col">measured</th><th scope="col">model</th><th scope="col">off</th></tr></thead>
      <tbody>${fitMisses(piece).map(missRow)}</tbody>
    </table>
    ${piece.kind === 'diode' ? diodeTexts(piece) : html`<p class="small soft">${lawText(piece)}</p>`}
    ${leftOpen(piece).map((text) => html`<p class="small soft">${text}</p>`)}
    ${[...fitWarnings(piece), ...doubts].map((text) => html`<p class="small problem">${text}</p>`)}`;
}

/** The numbers of the model, at 27 °C, with the law that has them. */
function lawText(piece: Exclude<Piece, DiodePiece>): string {
  if ('collectorA' in piece)
    return `Model at 27 °C: gain ${piece.fit.forwardBeta.toFixed(0)} without the leakage.`;
  const { thresholdV, betaAPerV2 } = piece.fit;
  const beta = Number((1000 * betaAPerV2).toPrecision(3));
  return `Model: square law, drain current = ${beta} mA/V² · (gate voltage + ${Math.abs(thresholdV).toFixed(2)} V)².`;
}

function diodeTexts(piece: DiodePiece) {
  const [saturation, emission, series] = fitRanges(piece);
  const range =
    saturation && emission && series
      ? `${rangeTexts({ saturation, emission, series }).join(', ')}, if the meter shows whole millivolts.`
      : undefined;
  return html`${range === undefined ? nothing : html`<p class="small soft">${range}</p>`}
    <p class="small"><strong>${junctionKind(piece).text}</strong></p>`;
}

/** A number at its limit has no range: the readings do not say how sure it is. */
function rangeTexts(of: Readonly<Record<'saturation' | 'emission' | 'series', FitRange>>): readonly string[] {
  const numberText = ({ value, plusMinus, isAtLimit }: FitRange, digits: number) =>
    isAtLimit
      ? `at its limit of ${value.toFixed(digits)}`
      : `${value.toFixed(digits)}${plusMinus === undefined ? '' : ` ± ${plusMinus.toFixed(digits)}`}`;
  const { value, plusMinus } = of.saturation;
  const percent = plusMinus === undefined ? '' : ` ± ${Math.round((100 * plusMinus) / value)} %`;
  return [
    `n ${numberText(of.emission, 2)}`,
    `series resistance ${numberText(of.series, 1)} Ω`,
    `saturation current ${quantityText(value, 'A')}${percent}`,
  ];
}

function valueResult(part: PassivePiece) {
  const miss = valueMiss(part);
  const off = miss === undefined ? '' : `${signed(100 * miss)} % of ${part.like}`;
  const doubt = valueDoubt(part);
  const doubtful = doubt === undefined ? nothing : html`<p class="small problem">${doubt}</p>`;
  if (part.kind !== 'pot') return html`<p class="small">${off}</p>${doubtful}`;
  const { law, misses, doubts } = fitTaper(part);
  const percent = (share: number) => `${(100 * share).toFixed(1)} %`;
  return html`<p class="small"><strong>${potTitle(law)}</strong>${off === '' ? '' : `, ${off}`}</p>
    <table>
      <thead><tr><th scope="col">track</th><th scope="col">measured</th><th scope="col">taper</th><th scope="col">off</th></tr></thead>
      <tbody>${misses.map(
        ({ turn, measured, fitted }) => html`<tr><td>${turn === 0.5 ? 'in the middle' : 'at a quarter'}</td>
          <td class="figures">${percent(measured)}</td><td class="figures">${percent(fitted)}</td>
          <td class="figures">${signed(100 * (fitted - measured))} %</td></tr>`,
      )}</tbody>
    </table>
    ${doubtful}${doubts.map((text) => html`<p class="small problem">${text}</p>`)}`;
}

function missRow({ of, measured, fitted, unit }: FitMiss) {
  const shown = (value: number) =>
    unit === '' ? value.toFixed(0) : value === 0 ? `0 ${unit}` : quantityText(value, unit);
  const off = unit === 'V' ? 1000 * (fitted - measured) : 100 * (fitted / measured - 1);
  const text = Number.isFinite(off) ? `${signed(off)} ${unit === 'V' ? 'mV' : '%'}` : '';
  return html`<tr><td>${of}</td><td class="figures">${shown(measured)}</td><td class="figures">${shown(fitted)}</td>
    <td class="figures">${text}</td></tr>`;
}

function signed(value: number): string {
  const text = Math.abs(value).toFixed(1);
  return `${text === '0.0' ? '' : value < 0 ? '−' : '+'}${text}`;
}
