import { describe, expect, it } from 'vitest';
import type { MeasuredPart } from '../../engine/builds/measured-parts.ts';
import { type PassivePiece, valueDoubt } from '../../engine/parts/passive-piece.ts';
import { fitPlot } from '../../ui/measuring/fit-plot.ts';
import { type Asked, measuredEntryOf } from '../../ui/measuring/measured-entry.ts';

const entry = (
  kind: Asked['kind'],
  method: Asked['method'],
  fields: Asked['fields'],
  kept: readonly MeasuredPart[] = [],
) => measuredEntryOf({ kind, method, fields }, kept);

const DIODE = {
  like: 'OA91',
  supply: '9,21',
  meter: '10M',
  room: '21',
  '0 volts': '0,155',
  '0 ohms': '820k',
  '1 volts': '215 mV',
  '2 volts': '.291',
};

const JFET = { like: 'J201', supply: '9,3', meter: '10M', cutoff: '0,65' };

describe('the fields of a JFET that is measured with a battery', () => {
  it('take the volts across a resistor at the drain where the meter has no mA range', () => {
    // By hand: 0.06 V/100 Ω + 0.06 V/1 MΩ, and 9.3 V - 0.06 V are left at the drain.
    const { part } = entry('nJfet', 'battery', {
      ...JFET,
      meter: '1M',
      'drain volts': '60 mV',
      'drain ohms': '100',
    });
    expect(part).toMatchObject({ zeroBiasDrainA: 0.00060006, drainV: 9.24 });
    const { part: other } = entry('nJfet', 'battery', {
      ...JFET,
      'drain volts': '0,0612',
      'drain ohms': '101R',
    });
    expect(other).toMatchObject({ zeroBiasDrainA: 0.00060595 });
  });

  it.each([
    [{}, /^Type the current with the gate at the source, or the volts/],
    [{ idss: '0,6 mA', 'drain volts': '60 mV' }, /not both/],
    [{ idss: '0,6' }, /^600 mA with the gate at the source: no small JFET .* write mA/],
    [{ 'drain volts': '0' }, /at the drain: nothing flows|: nothing flows/],
    [{ 'drain volts': '12' }, /more than the supply/],
    [{ 'drain volts': '9', 'drain ohms': '10k' }, /the drain needs more/],
    [{ idss: '0,6 mA', cutoff: '9,2' }, /nearly the supply, so the JFET is not cut off/],
  ])('say in one line what is wrong with %j', (fields, problem) => {
    expect(entry('nJfet', 'battery', { ...JFET, ...fields }).problem).toMatch(problem);
  });

  it('want units of a current that a tester shows', () => {
    expect(entry('nJfet', 'figures', { like: 'J201', idss: '0,6', cutoff: '0,7' }).problem).toMatch(
      /write mA/,
    );
  });
});

describe('a reading without its unit', () => {
  it('of the diode range is told how millivolts are written', () => {
    const range = { like: '1N34A', drop: '312', test: '1 mA' };
    expect(entry('diode', 'range', range).problem).toBe(
      '312 V is no forward voltage. For millivolts write 312 mV.',
    );
  });

  it('is doubted where the value is far from what is printed', () => {
    const doubt = (fields: Asked['fields'], kind: Asked['kind'] = 'resistor') => {
      const { part } = entry(kind, 'battery', fields);
      return valueDoubt(part as PassivePiece);
    };
    expect(doubt({ like: '10k', value: '9,87' })).toMatch(/^9R87 is far from the 10k/);
    expect(doubt({ like: '10k', value: '9,87k' })).toBeUndefined();
    expect(doubt({ like: '100u', value: '175u' }, 'capacitor')).toBeUndefined();
    expect(doubt({ like: 'B100K', ends: '94,2', middle: '47' }, 'pot')).toMatch(
      /^94R2 is far from the B100K/,
    );
    expect(doubt({ like: 'B100K', ends: '94,2k', middle: '47k' }, 'pot')).toBeUndefined();
    expect(doubt({ like: 'no idea', value: '9k87' })).toBeUndefined();
  });
});

describe('the fields of a measured part', () => {
  it('give a diode from what the meter showed, with decimal commas, and the next number as its name', () => {
    const { part } = entry('diode', 'battery', { ...DIODE, 'reverse volts': '-820 mV' });
    expect(part).toMatchObject({ name: 'OA91 no. 1', like: 'OA91', roomC: 21 });
    // By hand: (9.21 - 0.155)/820k - 0.155/10M, and 0.82/820k + 0.82/10M.
    expect(part).toMatchObject({
      forward: [{ currentA: 1.1027e-5 }, { currentA: 1.0967e-4 }, { currentA: 1.0877e-3 }],
      reverse: { currentA: 1.082e-6, voltageV: 8.39 },
    });
    expect(entry('diode', 'battery', DIODE, [part!]).part?.name).toBe('OA91 no. 2');
    expect(entry('diode', 'battery', { ...DIODE, name: 'oa91 NO. 1' }, [part!]).problem).toBe(
      'There is a part "oa91 NO. 1" already.',
    );
  });

  it.each([
    [{ supply: '' }, 'Type the battery’s own voltage, as the meter shows it.', true],
    [{ supply: '0' }, 'The supply is 0 V; it should be from 1 to 36 V: measure the battery.', false],
    [{ '1 volts': '0' }, '0 V with 82k: the diode is shorted, or the meter is not across it.', false],
    [
      { '1 volts': '12' },
      '12 V with 82k: that is more than the supply of 9.21 V. For millivolts write 12 mV.',
      false,
    ],
    [
      { '1 volts': '0.125' },
      '125 mV with 82k is not above 155 mV of 820k, though more current flows: are they swapped, or two digits?',
      false,
    ],
    [{ '1 volts': 'two' }, '"two" is no voltage: write 155 mV or 0.155 V.', false],
    [{ room: 'warm' }, '"warm" is no temperature: write °C, such as 21.', false],
    [{ room: '90' }, 'OA91 no. 1: the temperature of the room is 90; it should be from -10 to 60 °C.', false],
    [{ meter: 'ten' }, /^"ten" is not a resistor value/, false],
    [{ '0 volts': '', '1 volts': '', '2 volts': '' }, 'Type what the meter shows across the diode.', true],
  ])('say in one line what is wrong with %j', (fields, problem, isMissing) => {
    const { problem: text, ...rest } = entry('diode', 'battery', { ...DIODE, ...fields });
    expect(rest).toEqual({ isMissing });
    expect(text).toEqual(typeof problem === 'string' ? problem : expect.stringMatching(problem));
  });

  it('give a diode from the diode range alone, and from currents with their voltages', () => {
    expect(entry('diode', 'range', { like: 'OA91', drop: '0.3', test: '1 mA' }).part).toMatchObject({
      forward: [{ currentA: 1e-3, voltageV: 0.3 }],
    });
    const points = {
      like: '1N4148',
      '0 current': '10u',
      '0 voltage': '0.5',
      '1 current': '1m',
      '1 voltage': '0.65',
    };
    const reverse = { 'reverse current': '5m', 'reverse voltage': '5.1' };
    expect(entry('diode', 'figures', { ...points, ...reverse }).part).toMatchObject({
      reverse: { currentA: 5e-3, voltageV: 5.1 },
    });
    // What a Zener does backwards is its type's: the form has no row for it.
    const zener = entry('diode', 'figures', { ...points, ...reverse, like: 'BZX79C5V1' }).part;
    expect(zener).toMatchObject({ like: 'BZX79C5V1' });
    expect(zener).not.toHaveProperty('reverse');
    expect(entry('diode', 'figures', { ...points, '1 voltage': '' }).problem).toBe(
      'Each point needs a current and a voltage.',
    );
  });

  it('give transistors and JFETs by both methods', () => {
    const battery = { supply: '9', meter: '10M' };
    expect(
      entry('pnp', 'battery', { ...battery, like: 'AC128', open: '0.44', fed: '1.54' }).part,
    ).toMatchObject({
      openBaseA: 2.0004e-4,
      collectorA: 7.0015e-4,
    });
    expect(entry('npn', 'figures', { like: '2N3904', gain: '350,5', collector: '1 mA' }).part).toMatchObject({
      currentGain: 350.5,
    });
    expect(entry('npn', 'figures', { like: '2N3904', gain: '350x', collector: '1 mA' }).problem).toBe(
      '"350x" is no current gain: write a number such as 350.',
    );
    expect(
      entry('nJfet', 'battery', { ...battery, like: 'J201', idss: '0.6 mA', cutoff: '0.6' }).part,
    ).toMatchObject({
      cutoffV: 0.6,
      cutoffA: 7.9171e-7,
      drainV: 9,
    });
    expect(entry('nJfet', 'figures', { like: 'J201', idss: '0.6 mA', cutoff: '-0.7' }).part).toMatchObject({
      cutoffV: 0.7,
    });
  });

  it('give values as the meter shows them', () => {
    expect(entry('resistor', 'battery', { like: '10k', value: '9,87k' }).part).toMatchObject({
      value: 9870,
      name: '10k no. 1',
    });
    expect(entry('capacitor', 'battery', { like: '47n', value: '43.1nF' }).part).toMatchObject({
      value: 43.1e-9,
    });
    const track = { like: '100k', ends: '94k', middle: '47k' };
    expect(entry('pot', 'battery', { ...track, quarter: '0' }).part).toMatchObject({ quarterOhms: 0 });
    expect(entry('pot', 'battery', { ...track, middle: '140k' }).problem).toMatch(
      /the wiper cannot be beyond an end/,
    );
    expect(entry('resistor', 'battery', { like: '', value: '1k' }).problem).toBe(
      'Type what is printed on it, such as 10k.',
    );
  });
});

describe('the plot of a measured part', () => {
  it('has the points on the curve of the model, within the axes', () => {
    for (const part of [
      entry('diode', 'battery', DIODE).part!,
      entry('npn', 'figures', { like: '2N3904', gain: '200', collector: '1 mA', leakage: '1 uA' }).part!,
      entry('nJfet', 'figures', { like: 'J201', idss: '0.6 mA', cutoff: '0.7' }).part!,
      entry('pot', 'battery', { like: '100k', ends: '100k', middle: '15k' }).part!,
    ]) {
      const { points, fit, x, y, title } = fitPlot(part)!;
      expect(title).toContain(part.name);
      for (const [across, up] of points) {
        expect(across).toBeGreaterThanOrEqual(x.from);
        expect(across).toBeLessThanOrEqual(x.to);
        const after = fit.findIndex(([place]) => place >= across - 1e-12);
        const [[x0, y0], [x1, y1]] = [fit[Math.max(0, after - 1)]!, fit[after]!];
        const between = x1 === x0 ? y1 : y0 + ((y1 - y0) * (across - x0)) / (x1 - x0);
        expect(Math.abs(between - up)).toBeLessThan(0.01 * y.to);
      }
    }
    expect(fitPlot(entry('resistor', 'battery', { like: '10k', value: '9k9' }).part!)).toBeUndefined();
  });
});
