import type { Build } from '../engine/builds/build.ts';
import { buildTitle } from '../engine/builds/build-title.ts';

/** The names of nets and parts in a chain's network, such as "2:U1A", as the screen says them: "pedal 2 U1A". */
export function withPedalNames(text: string): string {
  return text.replace(/(?<![\w.:])([1-9]):(?=[A-Za-z])/g, 'pedal $1 ');
}

/** A net without the pedal that it belongs to. */
export function netName(net: string): string {
  return net.replace(/^[1-9]:/, '');
}

/** What a pedal is called in a row: its circuit, then the title of its build where that says more. */
export function pedalTitles(build: Build): { readonly circuit: string; readonly title: string } {
  const circuit = build.circuit.title;
  const title = buildTitle(build);
  const rest = title.startsWith(circuit) ? title.slice(circuit.length) : title;
  return { circuit, title: rest === title || /^\w/.test(rest) ? title : rest.replace(/^[\s,:]+/, '') };
}
