import { openInput } from './input.ts';
import type { Journey } from './journey.ts';
import { isPlaying, messages } from './page-parts.ts';
import type { Person } from './person.ts';

const screen = { width: 1366, height: 625 };

/** The browser is not allowed to open the interface. */
export const DENIED: Journey = {
  name: 'denied',
  screen,
  input: 'denied',
  go: async (person) => {
    await openInput(person);
    await saysWhy(person, 'denied');
    return [];
  },
};

/** The interface is unplugged while the guitar is played. */
export const UNPLUGGED: Journey = {
  name: 'unplugged',
  screen,
  input: 'guitar',
  go: async (person) => {
    const { page } = person;
    await page.evaluate(() => {
      const open = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
      navigator.mediaDevices.getUserMedia = async (wanted) => {
        const stream = await open(wanted);
        Reflect.set(globalThis, 'heardTrack', stream.getAudioTracks()[0]);
        return stream;
      };
    });
    await person.click(page.getByRole('button', { name: 'Listen' }));
    await isPlaying(page);
    await openInput(person);
    await person.wait(1500);
    await page.evaluate(() => {
      // As the browser tells it: the track ends by itself.
      const track = Reflect.get(globalThis, 'heardTrack') as MediaStreamTrack;
      track.stop();
      track.dispatchEvent(new Event('ended'));
    });
    await saysWhy(person, 'unplugged');
    return [];
  },
};

/** The cable is not plugged in, or the interface is turned down. */
export const SILENT: Journey = {
  name: 'silent',
  screen,
  input: 'silence',
  go: async (person) => {
    const { page } = person;
    await person.click(page.getByRole('button', { name: 'Listen' }));
    await isPlaying(page);
    await openInput(person);
    await person.wait(12_000);
    await person.look('nothing-heard');
    return [];
  },
};

/** Throws if the page does not say what is wrong. */
async function saysWhy(person: Person, what: string): Promise<void> {
  await person.wait(1500);
  await person.look(what);
  const said = (await messages(person.page)).filter((text) => /input|interface/i.test(text));
  if (said.length === 0) throw new Error('the page does not say what is wrong with the input');
}
