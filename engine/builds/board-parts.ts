import { partsOf } from '../circuits/circuit.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import { KIND_NAMES } from '../circuits/part-values.ts';
import type { CapacitorKind } from '../parts/capacitor-kinds.ts';
import { diodeEntry } from '../parts/part-types.ts';
import { typeName } from '../parts/piece.ts';
import { refText } from './alias.ts';
import { type Build, type BuildPart, buildParts, type PartSetting } from './build.ts';
import { settingText, withValue } from './part-setting.ts';

/** One part on the board: each diode of a string and each piggyback part is one of its own. */
export interface BoardPart {
  /** Place in the circuit, by its designator; several parts can stand at one place. */
  readonly ref: string;
  /** Name of the place in lists: "R4 (R7)", "R4 piggyback". */
  readonly place: string;
  /** Stands on the legs of the first part of its place. */
  readonly isPiggyback: boolean;
  readonly kind: BuildPart['kind'];
  /** Kind in words: "electrolytic capacitor", "dual-gang potentiometer". */
  readonly name: string;
  /** Value with its kind or taper, or type, as on the bag. */
  readonly value: string;
  /** Value or type alone: an IEC 60062 code, or a text that names a type or a piece. */
  readonly code: string;
  readonly setting: PartSetting;
  /** What a capacitor is made of; absent where the build leaves it open. */
  readonly dielectric?: CapacitorKind;
}

/**
 * Parts of a build. Parts that are not fitted or jumpered are not on the board. Diodes in series and piggyback parts count one
 * by one; the sections of a dual-gang potentiometer are one part. What stands for the inside of the supply is no part.
 */
export function boardParts(build: Build): readonly BoardPart[] {
  const circuit = fittedCircuit(build);
  const specs = partsOf(circuit);
  const ganged = circuit.knobs.filter(({ gang }) => gang && build.switches[gang.switch] === gang.position);
  const followers = new Set(ganged.map(({ ref }) => ref));
  const leaders = new Set(
    circuit.knobs.filter(({ name }) => ganged.some(({ gang }) => gang?.knob === name)).map(({ ref }) => ref),
  );
  const parts: BoardPart[] = [];
  for (const part of buildParts(circuit)) {
    const { ref, kind, polarised } = part;
    const setting = build.parts[ref]!;
    if (setting.fit !== undefined || followers.has(ref)) continue;
    if (specs.get(ref)?.part.job === 'supply internal resistance') continue;
    const { count, piggyback, dielectric, capacitance, ...rest } = setting;
    const chosen = capacitance === undefined ? '' : `, ${capacitance} capacitance`;
    const single: PartSetting =
      dielectric === undefined || dielectric === 'electrolytic' ? rest : { ...rest, dielectric };
    const made = setting.dielectric ?? (polarised ? 'electrolytic' : undefined);
    const isElectrolytic = kind === 'capacitor' && made === 'electrolytic';
    const name = isElectrolytic ? 'electrolytic capacitor' : KIND_NAMES[kind];
    const place = refText(build, ref);
    const own = { ref, kind, setting, ...(made !== undefined && { dielectric: made }) };
    const add = (isPiggyback: boolean, code: string, value: string) =>
      parts.push({
        ...own,
        isPiggyback,
        place: isPiggyback ? `${place} piggyback` : place,
        name: !isPiggyback && leaders.has(ref) ? 'dual-gang potentiometer' : name,
        code,
        value,
      });
    const first = (code: string) =>
      single.type === undefined ? settingText(single) : `${typeName(code)}${chosen}`;
    const codes = kind === 'diode' ? wiredTypes(single.type!) : [single.type ?? single.value!];
    for (const code of codes) for (let each = 0; each < (count ?? 1); each++) add(false, code, first(code));
    if (piggyback === undefined) continue;
    const seconds = kind === 'diode' ? wiredTypes(piggyback) : [piggyback];
    for (const code of seconds)
      add(true, code, kind === 'diode' ? `${typeName(code)}${chosen}` : settingText(withValue(single, code)));
  }
  return parts;
}

/** The types to order for a diode: itself, or the parts in series that it stands for. */
function wiredTypes(type: string): readonly string[] {
  return diodeEntry(type).chain?.map(({ entry }) => entry.type) ?? [type];
}
