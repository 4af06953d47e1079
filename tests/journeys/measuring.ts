import { counted, type Journey } from './journey.ts';
import { isPlaying } from './page-parts.ts';

/** Someone holds a finished pedal against the bench: volts, curves, pictures. */
export const measuring: Journey = {
  name: 'measuring',
  screen: { width: 1366, height: 625 },
  input: 'guitar',
  go: async (person) => {
    const { page } = person;
    person.startCounting();
    await person.press('v');
    await person.wait(500);
    await person.look('volts');
    const volts = counted(person, 'DC volts of every net', { actions: 1 });
    await person.click(page.getByRole('button', { name: 'Listen' }));
    await isPlaying(page);
    person.startCounting();
    for (const name of ['Clipping', 'Waveform', 'Spectrum']) {
      await person.click(page.getByRole('tab', { name }));
      await person.wait(1200);
      await person.look(name.toLowerCase());
    }
    await person.press('g');
    await person.wait(800);
    await person.look('large');
    await person.press('Escape');
    return [volts, counted(person, 'three plots, one of them large', { actions: 5 })];
  },
};
