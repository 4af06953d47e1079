import { potTitle } from '../units/taper.ts';
import type { DrawerItem } from './drawer.ts';
import { needName } from './part-need.ts';

/** A bag as text: "100 × 4k7 resistor, 1 %, 0.25 W, metal film". */
export function itemText(item: DrawerItem): string {
  return `${item.count} × ${itemName(item)}`;
}

/** The same without its number. */
export function itemName({
  kind,
  value,
  type,
  law,
  isDual,
  material,
  tolerancePercent,
  ratedV,
  ratedW,
}: DrawerItem): string {
  const what = law === undefined ? (value ?? type ?? '') : `${value} ${potTitle(law)}`;
  const more = [
    tolerancePercent === undefined ? '' : `${tolerancePercent} %`,
    ratedW === undefined ? '' : `${ratedW} W`,
    ratedV === undefined ? '' : `${ratedV} V`,
    material ?? '',
  ].filter((word) => word !== '');
  return [`${what} ${needName({ kind, ...(isDual && { isDual }) })}`.trim(), ...more].join(', ');
}
