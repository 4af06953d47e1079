import path from 'node:path';
import type { Locator, Page } from 'playwright-core';

/**
 * A person at the page: every press of a key, click, tap or choice in a menu counts as one action, and pictures are
 * stored on the way. Waiting and looking count nothing.
 */
export class Person {
  readonly page: Page;
  readonly #folder: string;
  readonly #name: string;
  #actions = 0;
  #mouse = 0;
  #pictures = 0;

  /** @param name Of the journey; pictures begin with it. */
  constructor(page: Page, folder: string, name: string) {
    this.page = page;
    this.#folder = folder;
    this.#name = name;
  }

  /** Actions since the last call of `startCounting`. */
  get actions(): number {
    return this.#actions;
  }

  /** Those of them that took a hand off the guitar: all but keys. */
  get byHand(): number {
    return this.#mouse;
  }

  startCounting(): void {
    this.#actions = 0;
    this.#mouse = 0;
  }

  async click(what: Locator): Promise<void> {
    this.#actions++;
    this.#mouse++;
    await what.first().click();
  }

  async choose(
    menu: Locator,
    option: { value: string } | { label: string } | { index: number },
  ): Promise<void> {
    this.#actions++;
    this.#mouse++;
    await menu.first().selectOption(option);
  }

  /** Slides a control to a value, as one drag. */
  async drag(slider: Locator, value: number): Promise<void> {
    this.#actions++;
    this.#mouse++;
    await slider.first().fill(`${value}`);
  }

  /** As long as a quick finger takes: two presses closer together would count as contacts that bounce. */
  async press(key: string): Promise<void> {
    this.#actions++;
    await this.page.keyboard.press(key, { delay: 100 });
  }

  /** A press of that long, as with a foot on the switch. */
  async hold(key: string, ms: number): Promise<void> {
    this.#actions++;
    await this.page.keyboard.down(key);
    await this.page.waitForTimeout(ms);
    await this.page.keyboard.up(key);
  }

  /** Listens or plays for a while. */
  async wait(ms: number): Promise<void> {
    await this.page.waitForTimeout(ms);
  }

  /** Stores a picture of the window. */
  async look(what: string): Promise<void> {
    this.#pictures++;
    await this.page.screenshot({ path: this.file(`${this.#pictures}-${what}.png`) });
  }

  /** A file beside the pictures. */
  file(name: string): string {
    return path.join(this.#folder, `${this.#name}-${name}`);
  }
}
