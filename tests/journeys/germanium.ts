import { counted, type Journey } from './journey.ts';
import { isPlaying } from './page-parts.ts';

/** Candidates for the clipping diodes: germanium first, and two that a builder has anyway. */
const TYPES = ['1N34A', 'OA91', 'OA81', '1N695', 'BAT46', '1N4001'];
const VERDICTS = ['1', '3', '2', '1', '3', '2'];

/** Someone wonders whether another germanium type is worth buying: six types, names hidden, a verdict on each. */
export const germanium: Journey = {
  name: 'germanium',
  screen: { width: 1440, height: 900 },
  input: 'guitar',
  go: async (person) => {
    const { page } = person;
    const panel = page.locator('candidates-panel');
    person.startCounting();
    await person.click(page.getByRole('button', { name: 'By ear' }));
    for (const type of TYPES) await person.click(panel.getByRole('button', { name: type, exact: true }));
    await person.click(panel.getByRole('checkbox', { name: /hide names/ }));
    await person.look('picked');
    await person.click(panel.getByRole('button', { name: 'Start', exact: true }));
    const setUp = counted(person, 'six candidates picked');
    await isPlaying(page);
    await panel.getByRole('button', { name: 'Better' }).waitFor({ timeout: 120_000 });
    await person.wait(2000);
    await person.look('first');
    person.startCounting();
    for (const verdict of VERDICTS) {
      await person.wait(1500);
      await person.press(verdict);
    }
    await person.wait(500);
    await person.look('judged');
    const judged = counted(person, 'six types heard, names hidden, a verdict on each', {
      actions: 12,
      byHand: 0,
    });
    await person.click(panel.getByRole('button', { name: 'Show names' }));
    await person.wait(500);
    await person.look('names');
    person.startCounting();
    await person.click(panel.getByRole('button', { name: /^Blind test of A/ }));
    await person.click(page.locator('blind-panel').getByRole('button', { name: /begin/i }));
    await person.wait(2000);
    await person.look('blind-test');
    return [setUp, judged, counted(person, 'blind test of one of them begun', { actions: 3 })];
  },
};
