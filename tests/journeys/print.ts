import { execFileSync } from 'node:child_process';
import type { Journey } from './journey.ts';

/** Someone takes the parts list to the bench on paper. */
export const print: Journey = {
  name: 'print',
  screen: { width: 1440, height: 900 },
  input: 'guitar',
  go: async (person) => {
    const { page } = person;
    await person.click(page.getByRole('button', { name: 'Parts list' }));
    // The ratings are computed.
    await page.locator('td.rating', { hasText: 'V' }).first().waitFor();
    await person.look('list');
    const pdf = person.file('list.pdf');
    await page.pdf({ path: pdf, format: 'A4' });
    try {
      execFileSync('pdftoppm', ['-png', '-r', '70', pdf, pdf.replace(/\.pdf$/, '')]);
    } catch {
      console.log(`pdftoppm is not here: look at ${pdf} itself`);
    }
    return [];
  },
};
