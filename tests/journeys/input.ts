import type { Person } from './person.ts';

/** Chooses the first interface, and agrees to the cautions. */
export async function openInput(person: Person): Promise<void> {
  const { page } = person;
  const menu = page.getByRole('combobox', { name: 'Input', exact: true });
  const live = menu.locator('optgroup[label="Live instrument"] option').first();
  await person.choose(menu, { value: (await live.getAttribute('value')) ?? '' });
  await person.wait(500);
  await person.look('cautions');
  await person.click(page.getByRole('button', { name: 'open the input' }));
}
