import { encodeWav } from '../../engine/audio/wav.ts';
import files from '../reference/audio-files.json' with { type: 'json' };
import type { Dice } from './dice.ts';

const fromBase64 = (text: string) => Uint8Array.from(Buffer.from(text, 'base64'));
const tone = Float64Array.from({ length: 4000 }, (_, n) => 0.3 * Math.sin(n / 20));

/** Small whole files of every kind that can be read. */
const WAV_FILES: readonly Uint8Array[] = [
  encodeWav({ sampleRateHz: 44_100, channels: [tone] }),
  encodeWav({ sampleRateHz: 48_000, channels: [tone, tone] }),
  ...files.wav.map(({ base64 }) => fromBase64(base64)),
];
const FLAC_FILES: readonly Uint8Array[] = files.flac.map(({ base64 }) => fromBase64(base64));

/** Places of header fields and their widths: RIFF and fmt of a WAV, STREAMINFO of a FLAC (RFC 9639 section 8.2). */
const WAV_FIELDS = [
  [4, 4],
  [16, 4],
  [20, 2],
  [22, 2],
  [24, 4],
  [28, 4],
  [32, 2],
  [34, 2],
  [36, 4],
  [40, 4],
  [54, 4],
] as const;
const FLAC_FIELDS = [
  [5, 3],
  [8, 2],
  [10, 2],
  [12, 3],
  [15, 3],
  [18, 3],
  [21, 1],
  [22, 4],
  [26, 8],
  [42, 4],
] as const;
const FIELD_BYTES = [0, 1, 7, 0x7f, 0x80, 0xff] as const;

/** A damaged WAV file. */
export function hostileWav(dice: Dice): Uint8Array {
  return damaged(dice, dice.pick(WAV_FILES), WAV_FIELDS);
}

/** A damaged FLAC file. */
export function hostileFlac(dice: Dice): Uint8Array {
  return damaged(dice, dice.pick(FLAC_FILES), FLAC_FIELDS);
}

function damaged(dice: Dice, whole: Uint8Array, fields: readonly (readonly [number, number])[]): Uint8Array {
  const bytes = whole.slice();
  const way = dice.draw();
  if (way < 0.2) return bytes.slice(0, dice.below(bytes.length + 1));
  if (way < 0.3) return withGarbage(dice, bytes);
  for (let count = dice.few(4); count > 0; count--) {
    if (way < 0.65) setField(dice, bytes, dice.pick(fields));
    else flipBytes(dice, bytes);
  }
  return bytes;
}

/** Small, large and full values of a field, which random bytes hardly ever give. */
function setField(dice: Dice, bytes: Uint8Array, [at, width]: readonly [number, number]): void {
  for (let byte = 0; byte < width && at + byte < bytes.length; byte++) {
    bytes[at + byte] = dice.draw() < 0.7 ? dice.pick(FIELD_BYTES) : dice.below(256);
  }
}

function flipBytes(dice: Dice, bytes: Uint8Array): void {
  // Half of them in the header, which is short.
  const at = dice.draw() < 0.5 ? dice.below(Math.min(64, bytes.length)) : dice.below(bytes.length);
  for (let n = at; n < Math.min(bytes.length, at + dice.few(64)); n++) bytes[n] = dice.below(256);
}

function withGarbage(dice: Dice, bytes: Uint8Array): Uint8Array {
  const at = dice.below(bytes.length);
  const garbage = Uint8Array.from({ length: dice.few(2000) }, () => dice.below(256));
  return Uint8Array.from([...bytes.slice(0, at), ...garbage, ...bytes.slice(at)]);
}
