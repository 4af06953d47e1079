import { openInput } from './input.ts';
import { counted, type Journey } from './journey.ts';
import { isPlaying } from './page-parts.ts';

/** Longer than a press that changes A and B. */
const HOLD_MS = 900;

/** An evening with one foot switch that sends the space bar: the hands stay on the guitar. */
export const oneFootSwitch: Journey = {
  name: 'one-foot-switch',
  screen: { width: 1440, height: 760 },
  input: 'guitar',
  go: async (person) => {
    const { page } = person;
    await openInput(person);
    await person.click(page.getByRole('button', { name: 'Listen' }));
    await isPlaying(page);
    await person.wait(1500);
    person.startCounting();
    await person.press(' ');
    await person.wait(1500);
    await person.look('other-build');
    const switched = counted(person, 'other build heard', { actions: 1, byHand: 0 });
    person.startCounting();
    await person.press(' ');
    await person.press(' ');
    await person.wait(1500);
    await person.look('next-candidate');
    const stepped = counted(person, 'next candidate heard', { actions: 2, byHand: 0 });
    person.startCounting();
    await person.hold(' ', HOLD_MS);
    await person.wait(1000);
    await person.look('counts-in');
    await person.wait(5000);
    await person.look('records');
    await person.press(' ');
    await person.wait(2500);
    await person.look('plays-the-riff');
    return [switched, stepped, counted(person, 'riff recorded, and played', { actions: 2, byHand: 0 })];
  },
};
