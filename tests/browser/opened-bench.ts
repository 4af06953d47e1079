import type { ClipleadBench } from '../../ui/bench.ts';
import { framesDrawn } from './until.ts';

/** A bench on the page as on a first visit: nothing is stored. */
export async function openedBench(): Promise<ClipleadBench> {
  localStorage.clear();
  const bench = document.createElement('cliplead-bench') as ClipleadBench;
  document.body.append(bench);
  await benchDrawn(bench);
  return bench;
}

/** Two frames, so that components inside other components are drawn too. */
export async function benchDrawn(bench: ClipleadBench): Promise<void> {
  await framesDrawn(2);
  await bench.updateComplete;
}

/** The bar above the bench with what is to be told; the bench may be that of a frame. */
export function noticeBar(bench: ClipleadBench | null): ShadowRoot | null {
  return bench?.shadowRoot?.querySelector('notice-bar')?.shadowRoot ?? null;
}

/** Whether a message is about dropouts: a busy machine has some, whatever is tested. */
export function isOfDropouts(text: string): boolean {
  return text.startsWith('Dropouts at ');
}

/** Lets the plucked string sound through the builds. */
export async function playString({ store, session }: ClipleadBench): Promise<void> {
  store.act({ type: 'source', source: { kind: 'string' } });
  await session.useSource({ kind: 'string' });
  store.act({ type: 'listen', isListening: true });
}

/** Silence, and no bench on the page. */
export async function closeBench(bench: ClipleadBench): Promise<void> {
  bench.store.act({ type: 'listen', isListening: false });
  await bench.session.stop();
  bench.remove();
}
