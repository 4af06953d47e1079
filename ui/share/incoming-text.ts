import { parseChainFile, type TitledChain } from '../../engine/builds/chain-file.ts';
import { type ReadDrawer, readDrawer } from '../../engine/builds/drawer-file.ts';
import { isOfMeasured, type MeasuredFile, parseMeasured } from '../../engine/builds/measured-parts.ts';
import { isRecord, jsonDepth, readJson } from '../../engine/input/json.ts';
import { MOST_CHAIN_CHARACTERS, MOST_JSON_DEPTH } from '../../engine/input/limits.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { withStarts } from '../state/chain-presets.ts';

/** What a text from outside holds, checked and not yet taken. */
export type IncomingText =
  | ({ readonly kind: 'chain' } & TitledChain)
  | ({ readonly kind: 'measured' } & MeasuredFile)
  | ({ readonly kind: 'drawer' } & ReadDrawer);

const KNOWN = 'It is no build, no chain, no list of measured parts and no drawer';

/** Tells the kinds of files apart that the bench writes. @throws Refusal in a sentence for a text that is none of them. */
export function readIncoming(text: string): IncomingText {
  if (text.trim() === '') throw new Refusal('file', 'It is empty.');
  if (text.length > MOST_CHAIN_CHARACTERS)
    throw new Refusal(
      'file',
      `It has ${text.length} characters. The largest file of the bench, a chain of three pedals, has at most ${MOST_CHAIN_CHARACTERS}.`,
    );
  if (/^[\uFEFF\s]*[{[]/.test(text)) return readJsonText(text);
  const drawer = readTable(text);
  // In a text about something else a line or two may look like a bag.
  if (drawer.items.length === 0 || drawer.problems.length > drawer.items.length)
    throw new Refusal('file', `${KNOWN}.`);
  return { kind: 'drawer', ...drawer };
}

function readJsonText(text: string): IncomingText {
  if (jsonDepth(text) <= MOST_JSON_DEPTH) {
    const file = readJson(text);
    if (file === undefined)
      throw new Refusal('file', 'It is cut off or damaged: the JSON cannot be read to its end.');
    if (!isRecord(file)) throw new Refusal('file', `${KNOWN}: it has no JSON object.`);
    if (isOfMeasured(file)) {
      const measured = parseMeasured(text);
      if (measured.parts.length === 0) throw new Refusal('file', nonePartText(measured));
      return { kind: 'measured', ...measured };
    }
  }
  return { kind: 'chain', ...withStarts(parseChainFile(text)) };
}

function nonePartText({ problems }: MeasuredFile): string {
  const [first] = problems;
  return first === undefined ? 'The list of measured parts is empty.' : `No part of it can be used. ${first}`;
}

function readTable(text: string): ReadDrawer {
  try {
    return readDrawer(text);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    throw new Refusal('file', `${KNOWN}. As a drawer: ${error.message}.`);
  }
}
