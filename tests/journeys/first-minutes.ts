import { counted, type Journey } from './journey.ts';
import { isPlaying, part } from './page-parts.ts';

/** Someone opens the page for the first time, hears two builds fairly, and swaps a part. */
export const firstMinutes: Journey = {
  name: 'first-minutes',
  screen: { width: 1440, height: 760 },
  input: 'guitar',
  go: async (person) => {
    const { page } = person;
    await person.look('opened');
    person.startCounting();
    await person.click(page.getByRole('button', { name: 'Listen' }));
    await isPlaying(page);
    await person.wait(2000);
    await person.press(' ');
    await person.wait(1500);
    await person.look('heard-b');
    const first = counted(person, 'first fair A/B', { actions: 3 });
    person.startCounting();
    await person.click(part(page, 'C3'));
    await person.press('ArrowUp');
    await person.wait(1500);
    await person.look('swapped');
    return [first, counted(person, 'another value heard, by click and key', { actions: 3 })];
  },
};
