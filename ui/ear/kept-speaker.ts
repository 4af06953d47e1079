import type { OwnSpeaker } from '../state/bench-state.ts';
import type { BenchStore } from '../state/bench-store.ts';
import { databaseReason, put, readAll, remove } from '../storage/database.ts';

/** Key of the only entry. */
const ID = 'own';

/** Puts the impulse response of an earlier visit on the bench, and keeps the one that is chosen after that. */
export async function followSpeaker(store: BenchStore): Promise<void> {
  let kept = await loadSpeaker(store);
  const { speaker, hasStandIn } = store.state;
  if (kept && !speaker) {
    store.act({ type: 'speaker', speaker: kept });
    const { match } = store.state;
    // The match of that visit was made with it.
    if (match.sound?.speaker === 'own')
      store.act({ type: 'match', match: { ...match, sound: { ...match.sound, speaker: kept } } });
    store.act({ type: 'standIn', hasStandIn });
  }
  const follow = () => {
    const chosen = store.state.speaker;
    if (chosen === kept) return;
    kept = chosen;
    void keepSpeaker(store, chosen);
  };
  store.addEventListener('change', follow);
  follow();
}

async function loadSpeaker(store: BenchStore): Promise<OwnSpeaker | undefined> {
  try {
    return (await readAll('speakers')).find(isSpeaker);
  } catch (error) {
    tell(store, `The impulse response of an earlier visit cannot be read: ${databaseReason(error)}.`);
    return undefined;
  }
}

async function keepSpeaker(store: BenchStore, speaker: OwnSpeaker | undefined): Promise<void> {
  try {
    await (speaker ? put('speakers', { id: ID, ...speaker }) : remove('speakers', ID));
  } catch (error) {
    if (speaker) tell(store, `The impulse response "${speaker.name}" is not kept: ${databaseReason(error)}.`);
  }
}

/** No second message if the whole database is not available. */
function tell(store: BenchStore, databaseTrouble: string): void {
  if (store.state.ear.databaseTrouble === undefined) store.act({ type: 'ear', change: { databaseTrouble } });
}

function isSpeaker(entry: unknown): entry is OwnSpeaker {
  const { name, samples, sampleRateHz } = (entry ?? {}) as Partial<OwnSpeaker>;
  return (
    typeof name === 'string' &&
    samples instanceof Float64Array &&
    samples.some((sample) => sample !== 0) &&
    samples.every(Number.isFinite) &&
    typeof sampleRateHz === 'number' &&
    sampleRateHz >= 1000 &&
    sampleRateHz <= 1e6
  );
}
