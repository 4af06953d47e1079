import { counted, type Journey } from './journey.ts';
import { isPlaying } from './page-parts.ts';

/** Someone holds a phone in one hand. */
export const phone: Journey = {
  name: 'phone',
  screen: { width: 390, height: 844 },
  isPhone: true,
  input: 'guitar',
  go: async (person) => {
    const { page } = person;
    await person.look('opened');
    person.startCounting();
    await person.click(page.getByRole('button', { name: 'Listen' }));
    await isPlaying(page);
    await person.wait(1500);
    await person.click(page.locator('switch-panel').getByRole('button', { name: 'Hear build B' }));
    await person.wait(1500);
    await person.look('heard-b');
    return [counted(person, 'first fair A/B', { actions: 3 })];
  },
};
