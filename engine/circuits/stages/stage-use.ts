import { quoted } from '../../input/shown-text.ts';
import type { CircuitProblem } from '../circuit-problem.ts';
import type { PartSpec } from '../part-spec.ts';
import { aKind } from '../part-values.ts';
import type { StageDocument, StageUse } from './stage-document.ts';

/** A stage's document with what a circuit's list changes in it, and names in the list that it does not have. */
export function usedStage(
  document: StageDocument,
  use: StageUse,
  place: string,
): { readonly stage: StageDocument; readonly problems: readonly CircuitProblem[] } {
  const values = Object.entries(use.parts ?? {});
  const stage = {
    ...document,
    ...(use.title !== undefined && { title: use.title }),
    parts: withJobs({ ...document.parts, ...changedParts(document, values) }, use.jobs),
    packages: { ...document.packages, ...changedPackages(document, values) },
    knobs: document.knobs.map((knob) => ({ ...knob, ...startOf(use.knobs?.[knob.name]) })),
    switches: document.switches.map((each) => ({ ...each, ...startOf(use.switches?.[each.name]) })),
  };
  return { stage, problems: useProblems(document, use, place) };
}

/** The wanted name of a knob or switch of the stage. */
export function wantedName({ knobs, switches }: StageUse, name: string): string {
  return knobs?.[name]?.name ?? switches?.[name]?.name ?? name;
}

function startOf<T>(changed: { readonly start?: T } | undefined): { readonly start?: T } {
  return changed?.start === undefined ? {} : { start: changed.start };
}

type Entries = readonly (readonly [ref: string, value: string])[];

function changedParts({ parts }: StageDocument, values: Entries): Readonly<Record<string, PartSpec>> {
  return Object.fromEntries(
    values.flatMap(([ref, value]) => {
      const part = parts[ref];
      if (!part || !hasStart(part)) return [];
      return [[ref, 'value' in part ? { ...part, value } : { ...part, type: value }] as const];
    }),
  );
}

/** The job is still to be checked, with the whole circuit. */
function withJobs(
  parts: Readonly<Record<string, PartSpec>>,
  jobs: StageUse['jobs'] = {},
): Readonly<Record<string, PartSpec>> {
  return Object.fromEntries(
    Object.entries(parts).map(([ref, part]) => [
      ref,
      jobs[ref] === undefined ? part : ({ ...part, job: jobs[ref] } as PartSpec),
    ]),
  );
}

function changedPackages({ packages }: StageDocument, values: Entries): StageDocument['packages'] {
  return Object.fromEntries(
    values.flatMap(([ref, type]) => {
      const given = packages[ref];
      return given ? [[ref, { ...given, type }] as const] : [];
    }),
  );
}

const hasStart = (part: PartSpec): boolean => 'value' in part || 'type' in part;

function useProblems(document: StageDocument, use: StageUse, place: string): readonly CircuitProblem[] {
  const { parts, packages, knobs, switches, id } = document;
  const refs = [...Object.keys(parts).filter((ref) => hasStart(parts[ref]!)), ...Object.keys(packages)];
  const lists = [
    { key: 'parts', what: 'part', named: use.parts, known: refs },
    { key: 'jobs', what: 'part', named: use.jobs, known: Object.keys(parts) },
    { key: 'knobs', what: 'knob', named: use.knobs, known: knobs.map(({ name }) => name) },
    { key: 'switches', what: 'switch', named: use.switches, known: switches.map(({ name }) => name) },
  ];
  return lists.flatMap(({ key, what, named, known }) =>
    Object.keys(named ?? {})
      .filter((name) => !known.includes(name))
      .map((name) => ({
        code: `unknown-${what}`,
        place: `${place}.${key}.${name}`,
        problem: `The stage ${id} has no ${what} ${quoted(name)}${valueless(parts[name])}.`,
        remedy: known.length > 0 ? `Name one of ${known.join(', ')}.` : 'Remove it.',
      })),
  );
}

const valueless = (part: PartSpec | undefined): string =>
  part ? ` with a value or type: it is ${aKind(part.kind)}` : '';
