import { html, svg, type TemplateResult } from 'lit';
import type { MeasuredKind, Method } from '../../measuring/measured-entry.ts';

/** What is done, in order, and what it looks like. */
interface Guide {
  readonly drawings: readonly TemplateResult[];
  readonly steps: readonly string[];
}

/** Before every measurement; the warmth of a hand and the short circuit: textbook. */
const CAUTIONS = [
  'Take the part out of the circuit first: what is beside it changes the reading.',
  'Never join the poles of the battery, not even through the meter on mA: it becomes hot. Disconnect it while you change a part.',
];
const WARMTH =
  'Let a part cool after soldering, and do not hold it: germanium is hurt by long heat, and each degree changes the reading.';

/** How a part is measured, with drawings and cautions. */
export function measureGuide(kind: MeasuredKind, method: Method) {
  const { drawings, steps } = guideOf(kind, method);
  const isValue = kind === 'resistor' || kind === 'capacitor' || kind === 'pot';
  const cautions = isValue ? CAUTIONS.slice(0, 1) : [...CAUTIONS, WARMTH];
  return html`<div class="drawings">${drawings}</div>
    <ol class="small">${steps.map((step) => html`<li>${step}</li>`)}</ol>
    <ul class="cautions small">${cautions.map((caution) => html`<li>${caution}</li>`)}</ul>`;
}

function guideOf(kind: MeasuredKind, method: Method): Guide {
  switch (kind) {
    case 'diode':
      return diodeGuide(method);
    case 'npn':
    case 'pnp':
      return transistorGuide(kind, method);
    case 'nJfet':
    case 'pJfet':
      return jfetGuide(kind, method);
    case 'pot':
      return {
        drawings: [POT],
        steps: [
          'Meter on ohms, from one outer lug to the other: end to end.',
          'Turn the knob to the middle between its stops. Measure from the lug that the wiper reaches at the left stop to the middle lug.',
          'Where that is about half of the track, measure again at a quarter of the turn: it tells linear from S-shaped.',
        ],
      };
    default:
      return {
        drawings: [],
        steps: [
          kind === 'capacitor'
            ? 'Discharge it first: 1k across its leads for some seconds. Then the meter on capacitance.'
            : 'Meter on ohms. Touch only one lead: your fingers are in parallel.',
        ],
      };
  }
}

function diodeGuide(method: Method): Guide {
  if (method === 'range')
    return {
      drawings: [RANGE],
      steps: [
        'Meter in its diode range, red lead on the anode. It shows the forward voltage at its own test current.',
        'The manual states that current, often about 1 mA. One point tells one number: slope and leakage are those of the type.',
      ],
    };
  if (method === 'figures')
    return {
      drawings: [],
      steps: [
        'For a component tester or curve tracer: currents with their voltages, from the smallest current up.',
      ],
    };
  return {
    drawings: [FORWARD, REVERSE],
    steps: [
      'Meter on DC volts: measure the battery.',
      'Battery plus, resistor, anode; the ring (cathode) to minus. Read the volts across the diode with 820k, 82k and 8k2: about 10 µA, 0.1 mA and 1 mA.',
      'Leakage: turn the diode round and read the volts across the 820k.',
    ],
  };
}

function transistorGuide(kind: 'npn' | 'pnp', method: Method): Guide {
  const [own, other] = kind === 'npn' ? ['plus', 'minus'] : ['minus', 'plus'];
  if (method === 'figures')
    return {
      drawings: [],
      steps: [
        'For a component tester: current gain, the collector current at which it was measured, and the current from collector to emitter with the base open.',
      ],
    };
  return {
    drawings: [transistorDrawing(own === 'plus')],
    steps: [
      'Meter on DC volts: measure the battery.',
      `2k2 from battery ${own} to the collector, the emitter to ${other}. With the base open read the volts across the 2k2: the leakage.`,
      `Then 2M2 from the base to battery ${own}. Wait until the reading stands still and read the volts across the 2k2 again.`,
    ],
  };
}

function jfetGuide(kind: 'nJfet' | 'pJfet', method: Method): Guide {
  const [own, other] = kind === 'nJfet' ? ['plus', 'minus'] : ['minus', 'plus'];
  if (method === 'figures')
    return {
      drawings: [],
      steps: [
        'For a component tester: the drain current with the gate at the source, and the cutoff voltage.',
      ],
    };
  return {
    drawings: [jfetDrawing(own === 'plus', true), jfetDrawing(own === 'plus', false)],
    steps: [
      'Meter on DC volts: measure the battery.',
      `Meter on mA from battery ${own} to the drain; gate and source together to ${other}: the current with the gate at the source. What the meter takes there hardly matters.`,
      `No mA range, or its fuse is blown: 100R in the place of the meter, and read the volts across the 100R.`,
      `Meter back on DC volts. Drain to ${own}, 820k from the source to ${other}, gate to ${other}. Read the volts across the 820k: the cutoff voltage, at the µA that then flow.`,
    ],
  };
}

const frame = (title: string, content: TemplateResult) =>
  html`<figure><svg class="circuit" viewBox="0 0 250 140" role="img" aria-label=${title}>${content}</svg><figcaption class="small soft">${title}</figcaption></figure>`;

const wire = (d: string) => svg`<path d=${d} />`;
const label = (x: number, y: number, text: string) => svg`<text x=${x} y=${y}>${text}</text>`;
/** A meter between the middles of its two leads; V, mA, Ω. */
const meter = (x: number, y: number, unit: string) =>
  svg`<circle cx=${x} cy=${y} r="13" /><text x=${x} y=${y + 4} text-anchor="middle">${unit}</text>`;
const across = (x: number, y: number, text: string) =>
  svg`<rect x=${x - 20} y=${y - 6} width="40" height="12" /><text x=${x} y=${y + 20} text-anchor="middle">${text}</text>`;
const upright = (x: number, y: number, text: string, side = 12) =>
  svg`<rect x=${x - 6} y=${y - 18} width="12" height="36" /><text x=${x + side} y=${y + 4} text-anchor=${side < 0 ? 'end' : 'start'}>${text}</text>`;
/** Plates of a battery at the left, its plus up or down. */
const battery = (isPlusUp: boolean) =>
  svg`<path d=${isPlusUp ? 'M8 64H32M14 74H26' : 'M14 64H26M8 74H32'} /><path d="M20 64V20M20 74V120" />
    ${label(34, isPlusUp ? 62 : 86, '+')}`;
/** A diode that points down or up. */
const diode = (x: number, y: number, isDown: boolean) =>
  isDown
    ? svg`<path d=${`M${x - 9} ${y - 8}H${x + 9}L${x} ${y + 8}ZM${x - 9} ${y + 8}H${x + 9}`} />`
    : svg`<path d=${`M${x - 9} ${y + 8}H${x + 9}L${x} ${y - 8}ZM${x - 9} ${y - 8}H${x + 9}`} />`;

const FORWARD = frame(
  'forward: volts across the diode',
  svg`${battery(true)}${wire('M20 20H70M110 20H160V62M160 78V120H20M160 20H215V57M215 83V120H160')}
    ${across(90, 20, '820k, 82k, 8k2')}${diode(160, 70, true)}${meter(215, 70, 'V')}`,
);
const REVERSE = frame(
  'leakage: diode turned round, volts across the 820k',
  svg`${battery(true)}${wire('M20 20H70M110 20H160V62M160 78V120H20M55 20V84H77M103 84H130V20')}
    ${across(90, 20, '820k')}${diode(160, 70, false)}${meter(90, 84, 'V')}`,
);
const RANGE = frame(
  'diode range of the meter',
  svg`${wire('M60 57V25H160V62M60 83V115H160V78')}${meter(60, 70, '⊳|')}${label(66, 50, '+')}${diode(160, 70, true)}`,
);
const POT = frame(
  'lugs from the front, shaft towards you',
  svg`<circle cx="125" cy="52" r="34" /><circle cx="125" cy="52" r="9" />
    ${wire('M95 84V108M125 87V108M155 84V108')}${label(91, 122, '1')}${label(121, 122, '2')}${label(151, 122, '3')}
    ${label(14, 122, 'left stop')}${label(172, 122, 'right stop')}`,
);

function transistorDrawing(isNpn: boolean) {
  return frame(
    isNpn ? 'NPN: volts across the 2k2' : 'PNP: battery turned round, volts across the 2k2',
    svg`${battery(isNpn)}${wire('M20 20H215V37M175 20V22M175 58V68L155 76M155 66V94M155 84L175 92V120H20M175 62H215V63M95 20V24M95 60V80H105M125 80H155')}
      ${upright(175, 40, '2k2', -12)}${upright(95, 42, '2M2', -12)}${meter(215, 50, 'V')}
      <path class="open" d="M105 80L123 72" />${label(52, 104, 'open, then closed')}
      ${label(180, 112, 'E')}${label(180, 80, 'C')}${label(140, 74, 'B')}`,
  );
}

function jfetDrawing(isN: boolean, isFull: boolean) {
  const channel = svg`<path d="M150 54V86M150 60H170M150 80H170" />${label(176, 58, 'D')}${label(182, 92, 'S')}${label(118, 66, 'G')}`;
  return isFull
    ? frame(
        'gate at the source: mA in the drain lead',
        svg`${battery(isN)}${wire('M20 20H97M123 20H170V60M170 80V120H20M150 70H120V120')}${meter(110, 20, 'mA')}${channel}`,
      )
    : frame(
        'cutoff: volts across the 820k',
        svg`${battery(isN)}${wire('M20 20H170V48M170 48V60M170 80V84M170 120H20M150 70H100V120M170 82H225V89M225 115V120H170')}
          ${upright(170, 102, '820k', -12)}${meter(225, 102, 'V')}${channel}`,
      );
}
