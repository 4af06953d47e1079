import { openInput } from './input.ts';
import { counted, type Journey } from './journey.ts';
import { isPlaying } from './page-parts.ts';

/** Someone plugs a guitar in: permission, level, delay, calibration. */
export const liveGuitar: Journey = {
  name: 'live-guitar',
  screen: { width: 1440, height: 760 },
  input: 'guitar',
  go: async (person) => {
    const { page } = person;
    person.startCounting();
    await openInput(person);
    await person.click(page.getByRole('button', { name: 'Listen' }));
    await isPlaying(page);
    await person.wait(4000);
    await person.look('playing');
    const plugged = counted(person, 'guitar heard through a build', { actions: 5 });
    person.startCounting();
    await person.click(page.locator('input-panel').getByRole('button', { name: /measure|calibrate/i }));
    await person.wait(500);
    await person.look('calibration');
    await person.press('Escape');
    await person.click(page.locator('output-panel').getByRole('button', { name: /sound/i }));
    await person.wait(500);
    await person.look('sound');
    await person.press('Escape');
    return [plugged, counted(person, 'calibration and delay opened and closed')];
  },
};
