import type { Source } from '../audio/prepared-source.ts';
import { RECORDINGS } from '../audio/recordings.ts';
import type { Riff } from '../state/ear-state.ts';

/** What a source is called on the screen and in reports. */
export function sourceName(source: Source, riffs: readonly Riff[]): string {
  switch (source.kind) {
    case 'recording':
      return RECORDINGS.find(({ id }) => id === source.id)?.title ?? source.id;
    case 'file':
      return source.file.name.replace(/\.[^.]*$/, '');
    case 'riff':
      return riffs.find(({ id }) => id === source.id)?.name ?? 'riff loop';
    case 'string':
      return 'Plucked string';
    case 'live':
      return 'Live input';
    case 'none':
      return 'Nothing';
  }
}
