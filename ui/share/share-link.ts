import { MOST_PEDALS } from '../../engine/builds/chain.ts';
import { MOST_BUILD_BYTES } from '../../engine/input/limits.ts';
import { Refusal } from '../../engine/input/refusal.ts';

/**
 * A build or chain in the fragment of an address. Browsers keep a fragment to themselves, so that whoever serves the page never
 * gets it (RFC 9110, 7.1). The text of the file is compressed (DEFLATE, RFC 1951) and written in base64url (RFC 4648, 5).
 */
const KEY = 'build=';
/** Far more than any address that can be sent; longer ones are not read at all. */
const MOST_CHARACTERS = 1_000_000;
const MOST_BYTES = MOST_PEDALS * MOST_BUILD_BYTES;
/** The fragment of a link, wherever it stands in a text. */
const LINK = new RegExp(`#${KEY}([A-Za-z0-9_-]+)`);

/** @param fileText A build or chain file. @param page Address of the page, whose own fragment is left out. */
export async function shareLink(fileText: string, page: string): Promise<string> {
  const packed = await through(
    new TextEncoder().encode(JSON.stringify(JSON.parse(fileText))),
    new CompressionStream('deflate-raw'),
    Number.POSITIVE_INFINITY,
  );
  return `${page.replace(/#.*$/s, '')}#${KEY}${toBase64Url(packed)}`;
}

/** Whether an address or pasted text holds a build. */
export function isShareLink(text: string): boolean {
  return text.length <= MOST_CHARACTERS && LINK.test(text);
}

/** The file in a link. @throws Refusal in a sentence for a link that is cut, changed or far too large. */
export async function readShareLink(text: string): Promise<string> {
  const [, packed] = LINK.exec(text.slice(0, MOST_CHARACTERS + 1)) ?? [];
  if (packed === undefined || text.length > MOST_CHARACTERS)
    throw new Refusal('file', 'The address holds no build that can be read.');
  try {
    const bytes = await through(fromBase64Url(packed), new DecompressionStream('deflate-raw'), MOST_BYTES);
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch (error) {
    if (error instanceof Refusal) throw error;
    throw new Refusal(
      'file',
      'The link is damaged: part of it is missing or changed. Ask for it again, or for the file.',
    );
  }
}

/** @param most Bytes, after which it is given up: a few thousand can become a thousand times as many. */
async function through(
  bytes: Uint8Array<ArrayBuffer>,
  stream: CompressionStream | DecompressionStream,
  most: number,
): Promise<Uint8Array<ArrayBuffer>> {
  const reader = new Blob([bytes]).stream().pipeThrough(stream).getReader();
  const chunks: Uint8Array[] = [];
  let length = 0;
  for (let next = await reader.read(); !next.done; next = await reader.read()) {
    chunks.push(next.value);
    length += next.value.length;
    if (length <= most) continue;
    await reader.cancel();
    throw new Refusal('file', `The link holds more than ${most / 1e6} MB, and a file of builds has no more.`);
  }
  return joined(chunks, length);
}

function joined(chunks: readonly Uint8Array[], length: number): Uint8Array<ArrayBuffer> {
  const whole = new Uint8Array(length);
  let at = 0;
  for (const chunk of chunks) {
    whole.set(chunk, at);
    at += chunk.length;
  }
  return whole;
}

function toBase64Url(bytes: Uint8Array): string {
  const text = Array.from(bytes, (byte) => String.fromCharCode(byte)).join('');
  return btoa(text).replaceAll('+', '-').replaceAll('/', '_').replace(/=+$/, '');
}

function fromBase64Url(text: string): Uint8Array<ArrayBuffer> {
  return Uint8Array.from(atob(text.replaceAll('-', '+').replaceAll('_', '/')), (letter) =>
    letter.charCodeAt(0),
  );
}
