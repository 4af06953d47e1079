import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { decodeRecording } from '../../engine/audio/recording-file.ts';
import recordings from '../../presets/recordings/recordings.json' with { type: 'json' };

const DIRECTORY = new URL('../../presets/recordings/', import.meta.url);
const README = readFileSync(new URL('README.md', DIRECTORY), 'utf8');

describe('recordings', () => {
  it('lists every recording in the folder', () => {
    const present = readdirSync(DIRECTORY).filter((name) => name.endsWith('.flac'));
    expect(recordings.map(({ file }) => file).sort()).toEqual(present.sort());
  });

  it.each(recordings)(
    'states length, source and checksum of $file correctly',
    ({ file, seconds, author, licence }) => {
      const bytes = Uint8Array.from(readFileSync(new URL(file, DIRECTORY)));
      const { sampleRateHz, channels } = decodeRecording(bytes);
      expect((channels[0]?.length ?? 0) / sampleRateHz).toBeCloseTo(seconds, 2); // stated to 10 ms
      const row = README.split('\n').find((line) => line.startsWith(`| ${file} |`));
      expect(row).toContain(createHash('md5').update(bytes).digest('hex'));
      expect(row).toContain(author.replace(',', ''));
      expect(licence).toBe('CC0-1.0');
    },
  );
});
