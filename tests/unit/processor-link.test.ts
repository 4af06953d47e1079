import { describe, expect, it } from 'vitest';
import { ProcessorLink } from '../../ui/audio/processor-link.ts';
import type { ToProcessor } from '../../worklets/bench-messages.ts';

/** One end of a channel, which only records. */
function port(): { readonly told: ToProcessor[]; readonly port: MessagePort } {
  const told: ToProcessor[] = [];
  return {
    told,
    port: { postMessage: (message: ToProcessor) => told.push(message) } as unknown as MessagePort,
  };
}

const hear = (slot: 'a' | 'b') => ({ type: 'hear', slot }) as const;

describe('the link to the processor', () => {
  it('sends a new processor the present settings, each once with its last value, and no past events', () => {
    const link = new ProcessorLink();
    link.keep('hear', hear('a'));
    link.keep('mute', { type: 'mute', muted: true });
    link.send({ type: 'measureLoudness', number: 1 });
    link.keep('hear', hear('b'));
    const { told, port: first } = port();
    link.connect(first);
    expect(told).toEqual([hear('b'), { type: 'mute', muted: true }]);
  });

  it('sends the second processor the changes from the time without a processor', () => {
    const link = new ProcessorLink();
    const [one, two] = [port(), port()];
    link.connect(one.port);
    link.keep('hear', hear('a'));
    link.disconnect();
    link.keep('hear', hear('b'));
    link.connect(two.port);
    expect(one.told).toEqual([hear('a')]);
    expect(two.told).toEqual([hear('b')]);
  });

  it('updates a setting without a message to the running processor', () => {
    const link = new ProcessorLink();
    const [one, two] = [port(), port()];
    link.connect(one.port);
    link.keep('hear', hear('a'));
    link.amend('hear', () => hear('b'));
    link.amend('nothing', () => hear('a'));
    expect(one.told).toEqual([hear('a')]);
    link.connect(two.port);
    expect(two.told).toEqual([hear('b')]);
  });
});
