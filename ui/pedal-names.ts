/** The names of nets and parts in a chain's network, such as "2:U1A", as the screen says them: "pedal 2 U1A". */
export function withPedalNames(text: string): string {
  return text.replace(/(?<![\w.:])([1-9]):(?=[A-Za-z])/g, 'pedal $1 ');
}

/** A net without the pedal that it belongs to. */
export function netName(net: string): string {
  return net.replace(/^[1-9]:/, '');
}
