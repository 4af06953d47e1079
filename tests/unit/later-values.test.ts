import type { ReactiveController } from 'lit';
import { describe, expect, it } from 'vitest';
import { LaterValues } from '../../ui/later-values.ts';

/** A component that is drawn when it is told to. */
class Host {
  readonly #controllers: ReactiveController[] = [];
  isAskedToDraw = false;
  readonly updateComplete = Promise.resolve(true);
  addController(controller: ReactiveController): void {
    this.#controllers.push(controller);
  }
  removeController(): void {}
  requestUpdate(): void {
    this.isAskedToDraw = true;
  }
  draw(): void {
    this.isAskedToDraw = false;
    for (const each of this.#controllers) each.hostUpdate?.();
    for (const each of this.#controllers) each.hostUpdated?.();
  }
}

describe('values that a component computes one a drawing', () => {
  it('are there after as many drawings, and then ask for no more', () => {
    const host = new Host();
    const values = new LaterValues<number>(host);
    values.want([
      ['one', () => 1],
      ['two', () => 2],
    ]);
    host.draw();
    expect([values.get('one'), values.get('two'), host.isAskedToDraw]).toEqual([1, undefined, true]);
    host.draw();
    expect([values.get('one'), values.get('two'), host.isAskedToDraw]).toEqual([1, 2, false]);
  });

  it('stay as they were until the new ones are there, and go if nobody wants them', () => {
    const host = new Host();
    const values = new LaterValues<number>(host);
    values.want([['one', () => 1]]);
    host.draw();
    values.want([
      ['two', () => 2],
      ['one', () => 10],
    ]);
    expect(values.get('one')).toBe(1);
    host.draw();
    expect([values.get('one'), values.get('two')]).toEqual([1, 2]);
    host.draw();
    expect(values.get('one')).toBe(10);
    values.want([['two', () => 2]]);
    expect(values.get('one')).toBeUndefined();
  });

  it('of an old state are not computed any more', () => {
    const host = new Host();
    const values = new LaterValues<string>(host);
    const computed: string[] = [];
    const compute = (name: string) => () => {
      computed.push(name);
      return name;
    };
    values.want([
      ['a', compute('old a')],
      ['b', compute('old b')],
    ]);
    host.draw();
    values.want([
      ['a', compute('new a')],
      ['b', compute('new b')],
    ]);
    while (host.isAskedToDraw) host.draw();
    expect(computed).toEqual(['old a', 'new a', 'new b']);
  });
});
