import { px, SMALL_SIZE, TEXT_SIZE, textAt, textElement, wrapped } from './picture.ts';
import { pinoutPicture } from './pinout-pictures.ts';
import type { Pinout } from './pinouts.ts';
import type { Wiring } from './wiring.ts';
import { type DrawnPicture, wiringPicture } from './wiring-svg.ts';

const TITLE_SIZE = 1.7;
const HEADING_SIZE = 1.4;
const MARGIN = 1;

/** One sheet of a pedal: wires off the board, pinouts, and what to know before soldering. */
export function wiringSheet(wiring: Wiring, pinouts: readonly Pinout[], title: string): DrawnPicture {
  const wires = wiringPicture(wiring);
  const pins = pinoutPicture(pinouts);
  const width = Math.max(wires.width, pins.width);
  const room = width / 10 - 2 * MARGIN;
  const elements: string[] = [];
  let y = 2.4;
  const heading = (text: string, size: number) => {
    elements.push(textElement(textAt(text, [MARGIN, y], { size, weight: 600, room })));
    y += 1;
  };
  const picture = ({ elements: drawn, height }: DrawnPicture) => {
    elements.push(`<g transform="translate(0 ${px(y)})">${drawn}</g>`);
    y += height / 10 + 2;
  };
  heading(title, TITLE_SIZE);
  y += 1.2;
  heading('From the back', HEADING_SIZE);
  picture(wires);
  if (pinouts.length > 0) {
    heading('Pins from above', HEADING_SIZE);
    picture(pins);
  }
  heading('Before you solder', HEADING_SIZE);
  for (const note of wiring.notes) {
    for (const text of wrapped(note, room, SMALL_SIZE, 400)) {
      y += 1.4;
      elements.push(textElement(textAt(text, [MARGIN, y - 0.6], { size: SMALL_SIZE })));
    }
    y += 0.4 * TEXT_SIZE;
  }
  return { width, height: Math.ceil(10 * (y + MARGIN)), elements: elements.join('\n') };
}
