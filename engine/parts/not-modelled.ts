/**
 * What the equations do not model, by kind of part, in words for the screen. Two parts that differ only in this
 * sound the same here.
 */
export const NOT_MODELLED = {
  resistor: ['carbon or film', 'maker', 'tolerance', 'excess noise'],
  capacitor: ['maker', 'tolerance', 'change with the signal’s own voltage', 'dielectric absorption'],
  inductor: ['core', 'winding resistance and capacitance', 'maker'],
  diode: [
    'maker',
    'capacitance that changes with voltage (modelled for LEDs, Zeners, 1N4001 and 1N4007)',
    'recovery time (modelled for 1N4001 and 1N4007)',
  ],
  npn: [
    'maker',
    'capacitance of followers, and its change with voltage and current',
    'gain that changes with current',
    'flicker noise',
  ],
  pnp: ['maker', 'capacitance of followers, and its change with voltage and current', 'flicker noise'],
  pJfet: ['maker', 'capacitance of followers, and its change with voltage', 'flicker noise'],
  nJfet: ['maker', 'capacitance of followers, and its change with voltage', 'flicker noise'],
  nMosfet: ['maker', 'capacitance of followers, and its change with voltage', 'flicker noise'],
  opamp: ['maker', 'offset', 'popcorn noise', 'distortion before clipping', 'ringing with a capacitive load'],
  pot: ['maker', 'tolerance of the track', 'wear'],
  supply: ['battery or adapter', 'hum'],
  converter: ['ripple at its oscillator', 'maker'],
} as const;
