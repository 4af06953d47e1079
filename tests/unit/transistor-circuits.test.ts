import { describe, expect, it } from 'vitest';
import { buildWarnings } from '../../engine/analysis/build-warnings.ts';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { voltageChart } from '../../engine/analysis/voltage-chart.ts';
import { USUAL_INSTRUMENT } from '../../engine/builds/instrument.ts';
import { netsOf, networkOf } from '../../engine/builds/network-of-build.ts';
import { figureValue, withPart } from '../../engine/builds/part-figures.ts';
import { networkWithin } from '../../engine/builds/surroundings.ts';
import { partsOf } from '../../engine/circuits/circuit.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import { thermalVoltage } from '../../engine/devices/physics.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import { BIPOLAR_TRANSISTORS } from '../../engine/parts/bipolar-transistors.ts';
import { findBjt } from '../../engine/parts/catalogue.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { presetBuild } from '../preset-build.ts';
import { cliplead } from './command-run.ts';

const ROOM_K = kelvinOf(27);
const restOf = (preset: string, celsius: number) => {
  const { nets, supplies } = voltageChart(networkOf(presetBuild(preset), kelvinOf(celsius)));
  return { volts: (net: string) => nets.find((each) => each.net === net)!.volts, supplies };
};
const figureOf = (preset: string, name: string) => {
  const build = presetBuild(preset);
  return figureValue(build, build.circuit.figures.find((each) => each.name === name)!, ROOM_K);
};

describe('a stage of bare transistors', () => {
  it('has the drain voltage that the square law gives: JFET booster', () => {
    // V_GS = −I·R5 and I = β·(V_GS − V_to)²: with the J201's card, I = 0.2526 mA, and R4 and R17 drop the rest of 9 V.
    const { volts } = restOf('jfet-plain', 27);
    const amps = 0.2526e-3;
    expect(volts('source')).toBeCloseTo(820 * amps, 2);
    expect(volts('drain')).toBeCloseTo(9 - 18_100 * amps, 1);
    expect(figureOf('jfet-plain', 'drain voltage')).toBeCloseTo(volts('drain'), 9);
  });

  it('has gains near g_m·R: boosters', () => {
    // 2·√(β·I) = 1.28 mS times 18k beside the 100k of the output; g_m = I_C/V_T times 12k beside 100k and r_o = (V_A + V_CE)/I_C.
    expect(figureOf('jfet-plain', 'highest gain')).toBeCloseTo(20 * Math.log10(1.28e-3 * 15.25e3), 0);
    const { volts } = restOf('treble-full', 27);
    const amps = volts('collector') / 12e3;
    const between = volts('emitter') - volts('collector');
    const ohms = 1 / (1 / 12e3 + 1 / 100e3 + amps / (findBjt('2N1305').data.earlyV! + between));
    expect(figureOf('treble-full', 'highest gain')).toBeCloseTo(
      20 * Math.log10((amps / thermalVoltage(ROOM_K)) * ohms),
      0,
    );
  });

  it('changes its bias with the temperature, much more in germanium than in silicon: fuzzes', () => {
    const moved = (preset: string) =>
      Math.abs(restOf(preset, 35).volts('collector') - restOf(preset, 10).volts('collector'));
    // Silicon: 2 mV/K over 2 kΩ times 12.2 kΩ. Germanium: 2 mV/K and the leakage over 500 Ω times 12.2 kΩ.
    expect(moved('silicon-fuzz-plain')).toBeLessThan(0.5);
    expect(moved('germanium-fuzz-plain')).toBeGreaterThan(1.2);
  });
});

describe('the range switch of the treble booster', () => {
  const build = presetBuild('treble-plain');
  /** Volts across the open switch, which C2 brings to the base when it closes. */
  const acrossSwitch = (each: typeof build) => {
    const { volts } = operatingPoint(networkOf(each, ROOM_K));
    return volts.get('base')! - volts.get(netsOf(each)('C2.2'))!;
  };

  it('does not pop: C2 waits at the voltage of the base, where a resistor to ground would hold it 8 V off', () => {
    expect(Math.abs(acrossSwitch(build))).toBeLessThan(0.01);
    const booster = build.circuit.stages.find(({ id }) => id === 'booster')!;
    const wires = booster.wires.map((wire) => {
      const pins = ('pins' in wire ? wire.pins : wire).filter((pin) => pin !== 'R6.2');
      const all = pins.includes('ground') ? [...pins, 'R6.2'] : pins;
      return 'pins' in wire ? { ...wire, pins: all } : all;
    });
    const stages = build.circuit.stages.map((each) => (each === booster ? { ...each, wires } : each));
    const grounded = { ...build, circuit: { ...build.circuit, id: 'mine', stages } };
    expect(acrossSwitch(grounded)).toBeGreaterThan(7.5);
  });

  it('has a resistor across it that is not heard: less than 0.2 dB from 40 Hz up', () => {
    const open = withPart(build, 'R6', { value: '2M2', fit: 'open' });
    const [own, without] = [build, open].map((each) => new FrequencyResponse(networkOf(each, ROOM_K)));
    for (const hz of [40, 82, 440, 3000])
      expect(Math.abs(own!.at(hz, 'out').decibels - without!.at(hz, 'out').decibels), `${hz}`).toBeLessThan(
        0.2,
      );
  });
});

describe('a circuit with germanium', () => {
  it('has six types to choose from, and starts with types made for switching and audio', () => {
    const germanium = BIPOLAR_TRANSISTORS.filter(({ family }) => family === 'germanium PNP');
    expect(germanium.length).toBeGreaterThanOrEqual(6);
    for (const preset of ['germanium-fuzz-plain', 'germanium-fuzz-gain', 'treble-plain', 'treble-full'])
      for (const { type } of Object.values(presetBuild(preset).parts))
        expect(['OC44', 'AC128'], preset).not.toContain(type);
  });

  it('has leaks within those of the sheets: 5, 6, 10 and 10 µA at most', () => {
    // RCA 2N404, Texas Instruments 2N1305, Philips AC125 and AC126, from memory.
    for (const [type, most] of [
      ['2N404', 5e-6],
      ['2N1305', 6e-6],
      ['AC125', 10e-6],
      ['AC126', 10e-6],
    ] as const) {
      const { saturationCurrentA, reverseBeta, collectorLeak } = findBjt(type).data;
      const leak = saturationCurrentA / reverseBeta + collectorLeak!.saturationA;
      expect(leak, type).toBeLessThan(most);
      expect(leak, type).toBeGreaterThan(most / 10);
    }
  });
});

describe('what the cards of a bare transistor’s circuit say', () => {
  const circuits = ['jfet-booster', 'treble-booster', 'silicon-fuzz', 'germanium-fuzz'];

  it.each(circuits)('holds for any values, so it states no computed number: %s', (id) => {
    // Of a battery, and of diodes that a builder chooses between, the usual figures may stand.
    const general = ['R22', 'D6'];
    const stated = [...partsOf(CIRCUITS.get(id)!)].filter(
      ([ref, { part }]) =>
        !general.includes(ref) && /\d ?(?:[pnµmkM]?(?:Hz|[FΩAVS])\b|°C|kilo|\/)|\d\.\d/u.test(part.role),
    );
    expect(stated.map(([ref, { part }]) => `${ref}: ${part.role}`)).toEqual([]);
  });

  it('names the MOSFET that the line with the diode can take: N-channel in the minus', () => {
    // Common practice, no source.
    for (const [id, channel] of [
      ['silicon-fuzz', 'P-channel'],
      ['germanium-fuzz', 'N-channel'],
    ] as const)
      expect(partsOf(CIRCUITS.get(id)!).get('D6')!.part.role, id).toContain(channel);
  });
});

describe('the notes of the presets', () => {
  const figureFrom = async (pattern: RegExp, ...args: readonly string[]) =>
    Number(pattern.exec((await cliplead(...args)).out)![1]);
  const notesOf = (preset: string) => presetBuild(preset).notes;

  it('say how much more the JFET booster with more headroom takes: about twice', async () => {
    const clipsFrom = (preset: string) => figureFrom(/^clips from +([\d.]+) mV$/m, 'sine', '--build', preset);
    const ratio = (await clipsFrom('jfet-headroom')) / (await clipsFrom('jfet-plain'));
    expect(ratio).toBeGreaterThan(1.6);
    expect(ratio).toBeLessThan(2.4);
    expect(notesOf('jfet-headroom')).toContain('about twice the input');
  });

  it('promise of transistors of more current gain more gain and hiss, and nothing of the load, which stays', async () => {
    const hiss = (preset: string) => figureFrom(/^at the output +([\d.]+) µV/m, 'noise', '--build', preset);
    expect((await hiss('silicon-fuzz-gain')) / (await hiss('silicon-fuzz-plain'))).toBeGreaterThan(1.3);
    const both = (name: string) =>
      ['silicon-fuzz-gain', 'silicon-fuzz-plain'].map((preset) => figureOf(preset, name));
    const [more, plain] = both('gain at full fuzz');
    expect(more! - plain!).toBeGreaterThan(3);
    const [load, plainLoad] = both('load on the pickup at 1 kHz');
    expect(load! / plainLoad!).toBeCloseTo(1, 1);
    expect(notesOf('silicon-fuzz-gain')).not.toContain('load');
  });
});

describe('the notes of the germanium fuzz with more gain', () => {
  it('say how much more, and that the bias and its change with the temperature stay', () => {
    const gain = (preset: string) => figureOf(preset, 'gain at full fuzz');
    expect(gain('germanium-fuzz-gain') - gain('germanium-fuzz-plain')).toBeCloseTo(2, 0);
    for (const celsius of [10, 27, 35]) {
      const [more, plain] = ['germanium-fuzz-gain', 'germanium-fuzz-plain'].map((preset) =>
        restOf(preset, celsius).volts('collector'),
      );
      expect(Math.abs(more! - plain!)).toBeLessThan(0.1);
    }
  });
});

describe('a fuzz with its plus at ground', () => {
  it('has all voltages below ground, and its supply gives a current', () => {
    const { volts, supplies } = restOf('germanium-fuzz-plain', 27);
    for (const net of ['base', 'first collector', 'collector', 'emitter', 'supply', 'dc'])
      expect(volts(net), net).toBeLessThan(0);
    // What R2, and R4 with R5, carry.
    const carried =
      (volts('first collector') - volts('supply')) / 47e3 + (volts('tap') - volts('supply')) / 2.2e3;
    expect(supplies[0]!.amps).toBeCloseTo(carried, 6);
    // Base to emitter as V_T·ln(I/I_S), without the Early effect of 3 %.
    const firstA = (volts('first collector') - volts('supply')) / 47e3;
    const { saturationCurrentA } = findBjt('2N404').data;
    expect(-volts('base')).toBeCloseTo(thermalVoltage(ROOM_K) * Math.log(firstA / saturationCurrentA), 2);
  });

  it('has its electrolytics the right way round at any temperature, and warns of a reversed one', () => {
    const build = presetBuild('germanium-fuzz-plain');
    for (const celsius of [-10, 27, 60]) expect(buildWarnings(build, kelvinOf(celsius))).toEqual([]);
    const { stages } = build.circuit;
    const turned = stages.map((stage) => ({
      ...stage,
      wires: stage.wires.map((wire) =>
        JSON.parse(JSON.stringify(wire).replace(/C11\.([12])/g, (_, pin) => `C11.${3 - pin}`)),
      ),
    }));
    const reversed = { ...build, circuit: { ...build.circuit, id: 'mine', stages: turned } };
    expect(buildWarnings(reversed, ROOM_K).map(({ message }) => message)).toEqual([
      expect.stringMatching(/^C11 sees −8\.9\d V from plus to minus/),
    ]);
  });

  it('is printed by the command line with the current that the supply gives, and without the nodes inside parts', async () => {
    const { out } = await cliplead('voltages', '--build', 'germanium-fuzz-plain');
    expect(out).toMatch(/^collector +-4\.2\d\d V$/m);
    expect(out).toMatch(/^current of V1 +0\.5\d\d mA$/m);
    expect(out).not.toMatch(/^Q\d/m);
  });

  it('takes another supply, and a diode against a reversed one', () => {
    const build = withPart(presetBuild('germanium-fuzz-plain'), 'V1', { value: '4V5' });
    const at = (each: typeof build) => {
      const { nets } = voltageChart(networkOf(each, ROOM_K));
      return nets.find(({ net }) => net === 'dc')!.volts;
    };
    expect(at(build)).toBe(-4.5);
    // A Schottky diode drops 0.15 to 0.25 V at half a milliampere (1N5817, from memory).
    const dropped = at(withPart(build, 'D6', { type: '1N5817' })) + 4.5;
    expect(dropped).toBeGreaterThan(0.1);
    expect(dropped).toBeLessThan(0.3);
  });
});

describe('the input of a stage of bare transistors', () => {
  it('is high with a JFET, and low with a fuzz', () => {
    // 2.2 MΩ beside 1 MΩ.
    expect(figureOf('jfet-plain', 'load on the pickup at 1 kHz') / 687.5e3).toBeCloseTo(1, 1);
    for (const preset of ['silicon-fuzz-plain', 'germanium-fuzz-plain'])
      expect(figureOf(preset, 'load on the pickup at 1 kHz'), preset).toBeLessThan(20e3);
  });

  it('lets in much less bass with the fuzz at zero, as its feedback makes the base a low resistance: silicon', () => {
    // R3/(1 + A) with A = g_m·(R2 ∥ r_o ∥ β·VR1): β and Early voltage are those of the type.
    const { volts } = restOf('silicon-fuzz-plain', 27);
    const { forwardBeta, earlyV } = findBjt('2N3904').data;
    const amps = (volts('supply') - volts('first collector')) / 47e3;
    const ohms = 1 / (1 / 47e3 + amps / (earlyV! + volts('first collector')) + 1 / ((forwardBeta + 1) * 2e3));
    const seenOhms = 82e3 / (1 + (amps / thermalVoltage(ROOM_K)) * ohms);
    const hz = figureOf('silicon-fuzz-plain', 'lowest frequency let in with the fuzz at zero');
    expect(hz * 2 * Math.PI * 2.2e-6 * seenOhms).toBeCloseTo(1, 1);
    expect(figureOf('silicon-fuzz-plain', 'lowest frequency let in at full fuzz')).toBeLessThan(hz / 4);
  });

  it('takes from a pickup with its cable what a low one takes: 1 kHz', () => {
    const lossDb = (preset: string) => {
      const build = presetBuild(preset);
      const at = (network: ReturnType<typeof networkOf>) =>
        new FrequencyResponse(network).at(1000, network.output).decibels;
      return (
        at(networkOf(build, ROOM_K)) - at(networkWithin(build, ROOM_K, { instrument: USUAL_INSTRUMENT }))
      );
    };
    expect(lossDb('jfet-plain')).toBeLessThan(1);
    for (const preset of ['silicon-fuzz-plain', 'germanium-fuzz-plain'])
      expect(lossDb(preset), preset).toBeGreaterThan(4);
  });
});
