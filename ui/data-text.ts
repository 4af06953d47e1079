import type { Build } from '../engine/builds/build.ts';

/** A build with its circuit is ten kilobytes of text, and the builds of a chain are asked for again and again. */
const texts = new WeakMap<Build, string>();

/**
 * Data as one text, such as a key; builds in it stand under the name `build`. What they are called is left out: no figure depends
 * on it.
 */
export function dataText(data: unknown): string {
  return JSON.stringify(data, (name, value) => (name === 'build' ? textOf(value as Build) : value));
}

function textOf(build: Build): string {
  const { title: _title, notes: _notes, start: _start, groups: _groups, ...played } = build;
  const text = texts.get(build) ?? JSON.stringify(played);
  texts.set(build, text);
  return text;
}
