import { escaped } from '../wiring/picture.ts';
import { type Cell, type Column, list, paragraph, table } from './sheet-markup.ts';
import type { ReadText, VoltageData } from './voltage-data.ts';

/** What a multimeter reads, with room for what is read on the board. */
export function voltageSection(data: VoltageData): string {
  const { method, nets, supply, legs } = data;
  const said = method.map((text) => paragraph(text)).join('');
  if (nets.length === 0) return said;
  const atLegs = legs.length === 0 ? '' : `<h3>At the legs</h3>\n${legTable(data)}`;
  return `${said}
${netTable(data)}
${list(supply)}
${atLegs}
<h3>${supplyTitle(data)}</h3>
${supplyTable(data)}`;
}

function netTable({ nets, conditions }: VoltageData): string {
  const columns: readonly Column[] = [
    ['Net', 28],
    ['You read, V', 20],
    ...conditions.map((condition) => [condition, 17] as const),
    ['95 % of boards', 32],
    ['If it is too low', 28],
    ['If it is too high', 28],
  ];
  const rows = nets.map(({ net, read, reads, band, tooLow, tooHigh }) => [
    net,
    readCell(read),
    ...reads,
    band,
    tooLow,
    tooHigh,
  ]);
  return table(columns, [{ rows }]);
}

/** Empty where nothing was read, for the pencil. */
function readCell(read: ReadText | undefined): Cell {
  if (!read) return '';
  return { markup: `${escaped(read.text)}<br><strong>${read.mark} ${read.verdict}</strong>` };
}

function legTable({ legs: parts, conditions }: VoltageData): string {
  const groups = parts.map(({ ref, type, legs, unknown }) => ({
    title: `${ref} ${type}${unknown === undefined ? '' : `: ${unknown}`}`,
    isWhole: true,
    rows: legs.map(({ leg, net, read, reads }) => [leg, net, readCell(read), ...reads]),
  }));
  const columns: readonly Column[] = [
    ['Leg', 36],
    ['Net', 46],
    ['You read, V', 24],
    ...conditions.map((condition) => [condition, 24] as const),
  ];
  return table(columns, groups);
}

/** "With 9, 12 and 18 V": the build's own supply is one of them. */
function supplyTitle({ otherSupplies }: VoltageData): string {
  const volts = otherSupplies.map(({ supply }) => supply.replace(/ V$/, ''));
  return `With ${volts.slice(0, -1).join(', ')} and ${volts.at(-1)} V`;
}

/** Only the rails: the other nets follow them. */
function supplyTable({ supplied, rails, otherSupplies }: VoltageData): string {
  const columns: readonly Column[] = [
    ['Adapter', 20],
    ...rails.map((rail) => [rail, 20] as const),
    ['Over their limits', 162 - 20 * rails.length],
  ];
  const rows = otherSupplies.map(({ supply, reads, problems }): readonly Cell[] => [
    supply,
    ...reads,
    problems.length === 0
      ? 'no chip or transistor'
      : { markup: `<strong>Do not use it.</strong> ${list(problems)}` },
  ]);
  return `${paragraph(`This table checks the limits of chips, transistors and converters. The ratings in the parts list are those for ${supplied}: make the sheet anew for a higher supply.`)}
${table(columns, [{ rows }])}`;
}
