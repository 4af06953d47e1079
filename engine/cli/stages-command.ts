import { STAGE_GROUPS, type StageDocument } from '../circuits/stages/stage-document.ts';
import { stageDocument } from '../circuits/stages/stage-file.ts';
import { STAGES } from '../circuits/stages/stage-library.ts';
import { CliError } from './cli-error.ts';
import { named, nearestWord, type Options } from './options.ts';
import { printJson, printSections } from './output.ts';

/** Lists the stages that a circuit file can name, or prints the document of one. @throws CliError for an unknown id. */
export function stagesCommand(options: Options): void {
  if (options.print !== undefined) printJson(stageDocument(stageNamed(options.print)));
  else if (options.json) printJson(inOrder().map(summaryOf));
  else {
    printSections(
      STAGE_GROUPS.map((group) => ({
        title: `${group[0]!.toUpperCase()}${group.slice(1)}`,
        rows: inOrder()
          .filter((stage) => stage.group === group)
          .map((stage) => {
            const { id, title, ports, knobs } = summaryOf(stage);
            return [id, title, ports.join(', '), knobs.length > 0 ? `knobs: ${knobs.join(', ')}` : ''];
          }),
      })),
    );
  }
}

function inOrder(): readonly StageDocument[] {
  const all = [...STAGES.values()];
  return STAGE_GROUPS.flatMap((group) => all.filter((stage) => stage.group === group));
}

function summaryOf({ id, title, group, purpose, ports, offers = [], knobs, switches }: StageDocument) {
  return {
    id,
    group,
    title,
    purpose,
    ports: Object.keys(ports),
    offers,
    knobs: knobs.map(({ name }) => name),
    switches: switches.map(({ name }) => name),
  };
}

function stageNamed(id: string): StageDocument {
  const stage = STAGES.get(id);
  if (stage) return stage;
  const near = nearestWord(id, [...STAGES.keys()]);
  const meant = near === undefined ? '"cliplead stages" lists them.' : `Did you mean ${near}?`;
  throw new CliError(`--print ${named(id)}: there is no such stage. ${meant}`);
}
