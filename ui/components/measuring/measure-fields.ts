import { html, nothing } from 'lit';
import { NOMINAL_TEMPERATURE_K } from '../../../engine/devices/physics.ts';
import { typeForwardVoltage } from '../../../engine/parts/diode-curve.ts';
import { diodeEntry } from '../../../engine/parts/part-types.ts';
import { FORWARD_POINTS } from '../../../engine/parts/piece.ts';
import { hasReversePoint } from '../../../engine/parts/piece-fit.ts';
import { quantityText } from '../../../engine/units/quantity-text.ts';
import type { MeasuredKind, Method } from '../../measuring/measured-entry.ts';

/** Currents at which the fields show what the type has, A. */
const EXAMPLE_CURRENTS_A = [1e-5, 1e-4, 1e-3];
/** Of a heated room. */
const USUAL_ROOM = '21';

export const METHODS: Readonly<Partial<Record<MeasuredKind, readonly (readonly [Method, string])[]>>> = {
  diode: [
    ['battery', 'battery and resistors'],
    ['range', 'diode range of the meter'],
    ['figures', 'currents and voltages'],
  ],
  npn: [
    ['battery', 'battery and resistors'],
    ['figures', 'gain and leakage'],
  ],
  pnp: [
    ['battery', 'battery and resistors'],
    ['figures', 'gain and leakage'],
  ],
  nJfet: [
    ['battery', 'battery and resistor'],
    ['figures', 'current and cutoff'],
  ],
  pJfet: [
    ['battery', 'battery and resistor'],
    ['figures', 'current and cutoff'],
  ],
};

/** The fields of a kind and a method. @param like The type that gives the examples. */
export function measureFields(kind: MeasuredKind, method: Method, like: string) {
  switch (kind) {
    case 'diode':
      return html`${method === 'battery' ? meterFields(true) : roomField()}${diodeFields(method, like)}`;
    case 'npn':
    case 'pnp':
      return html`${method === 'battery' ? meterFields(true) : roomField()}${transistorFields(method)}`;
    case 'nJfet':
    case 'pJfet':
      return html`${method === 'battery' ? meterFields(false) : nothing}${jfetFields(method)}`;
    case 'pot':
      return html`${row('end to end', field('ends', 'Resistance from end to end', '94k'))}
        ${row('knob in the middle', field('middle', 'From the left end to the wiper, knob in the middle', '14k'))}
        ${row('at a quarter', field('quarter', 'From the left end to the wiper, knob at a quarter', 'not measured'))}`;
    default:
      return row('value', field('value', 'Measured value', kind === 'resistor' ? '9k87' : '43n1'));
  }
}

function meterFields(hasRoom: boolean) {
  return html`${row('battery', field('supply', 'Measured voltage of the battery', '9.2 V'))}
    ${row('meter, input resistance', field('meter', 'Input resistance of the meter', '10M', '10M'))}
    ${hasRoom ? roomField() : nothing}`;
}

function roomField() {
  return row('room, °C', field('room', 'Temperature of the room, °C', '27', USUAL_ROOM));
}

function diodeFields(method: Method, like: string) {
  const entry = diodeEntry(like);
  const examples = EXAMPLE_CURRENTS_A.map((amps) =>
    quantityText(typeForwardVoltage(entry, amps, NOMINAL_TEMPERATURE_K), 'V'),
  );
  if (method === 'range')
    return html`${row('meter shows', field('drop', 'Forward voltage in the diode range', examples[2]!))}
      ${row('test current', field('test', 'Test current of the meter', '1 mA', '1 mA'))}`;
  if (method === 'battery')
    return html`${['820k', '82k', '8k2'].map((ohms, index) =>
      pair(
        `with ${ohms}`,
        field(`${index} volts`, `Volts across the diode with ${ohms}`, examples[index]!),
        field(`${index} ohms`, `Measured value of the resistor of ${ohms}`, ohms, ohms),
      ),
    )}
    ${hasReversePoint(like) ? row('turned round, across 820k', field('reverse volts', 'Volts across the 820k with the diode turned round', 'not measured')) : nothing}`;
  const rows = Array.from({ length: FORWARD_POINTS.most }, (_, index) => {
    const amps = EXAMPLE_CURRENTS_A[index];
    return pair(
      `point ${index + 1}`,
      field(
        `${index} current`,
        `Current, point ${index + 1}`,
        amps === undefined ? '' : quantityText(amps, 'A'),
      ),
      field(`${index} voltage`, `Voltage, point ${index + 1}`, examples[index] ?? ''),
    );
  });
  const reverse = pair(
    'reverse',
    field('reverse current', 'Reverse current', 'not measured'),
    field('reverse voltage', 'Reverse voltage', ''),
  );
  return html`${rows}${hasReversePoint(like) ? reverse : nothing}`;
}

function transistorFields(method: Method) {
  if (method === 'battery')
    return html`${row('across 2k2, base open', field('open', 'Volts across the collector resistor, base open', 'not measured'))}
      ${row('across 2k2, with 2M2', field('fed', 'Volts across the collector resistor, 2M2 at the base', '1.54 V'))}
      ${pair('resistors', field('collector ohms', 'Measured value of the collector resistor', '2k2', '2k2'), field('base ohms', 'Measured value of the base resistor', '2M2', '2M2'))}`;
  return html`${row('current gain', field('gain', 'Current gain', '350'))}
    ${row('at collector current', field('collector', 'Collector current', '1 mA'))}
    ${row('leakage, base open', field('leakage', 'Leakage with the base open, if it was measured', 'not measured'))}`;
}

function jfetFields(method: Method) {
  const full = row(
    'current, gate at source',
    field('idss', 'Drain current with the gate at the source', '0.6 mA'),
  );
  if (method === 'figures')
    return html`${full}${row('cutoff voltage', field('cutoff', 'Gate voltage at cutoff', '0.7 V'))}`;
  return html`${full}
    ${pair('or across 100R at drain', field('drain volts', 'Volts across the drain resistor, gate at the source', '0.06 V'), field('drain ohms', 'Measured value of the drain resistor', '100R', '100R'))}
    ${pair('across 820k', field('cutoff', 'Volts across the source resistor', '0.65 V'), field('source', 'Measured value of the source resistor', '820k', '820k'))}`;
}

function row(title: string, input: unknown) {
  return html`<label class="row"><span>${title}</span>${input}</label>`;
}

function pair(title: string, one: unknown, other: unknown) {
  return html`<div class="row" role="group" aria-label=${title}><span>${title}</span><span class="two">${one}${other}</span></div>`;
}

/** @param value That is there at first and stays from part to part; an example is only shown. */
function field(name: string, title: string, example: string, value = '') {
  return html`<input name=${name} class="figures" type="text" autocomplete="off" spellcheck="false" maxlength="30"
    aria-label=${title} placeholder=${example} value=${value} ?data-stays=${value !== '' || name === 'supply'} />`;
}
