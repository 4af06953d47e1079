import {
  COMMAND_TEXTS,
  type CommandName,
  type CommandText,
  OPTIONS,
  type OptionName,
} from './command-options.ts';

/** Width of the help, in columns that every terminal has. */
const WIDTH = 100;
const GAP = 2;

/** All commands, and how to get help on one. */
export function overviewText(): string {
  const rows = Object.entries(COMMAND_TEXTS).map(([name, { says }]) => [name, says] as const);
  return [
    'Usage: cliplead COMMAND [options]',
    '',
    ...columns(rows),
    '',
    '"cliplead COMMAND --help" lists the options of a command, with units, defaults and an example.',
    'A wrong command prints one line that says what to change; its exit code is 2.',
    '',
  ].join('\n');
}

/** Usage of one command, its options with units and defaults (in brackets), an example. */
export function commandText(name: CommandName): string {
  const { says, options, operand, words, example }: CommandText = COMMAND_TEXTS[name];
  const rows = options.map((option) => [formOf(option), words?.[option] ?? OPTIONS[option].says] as const);
  return [
    `Usage: cliplead ${name}${operand === undefined ? '' : ` ${OPTIONS[operand].value}`} [options]`,
    '',
    says,
    '',
    ...columns([...rows, ['--help, -h', 'this text']]),
    '',
    'In brackets: the default.',
    '',
    `Example: ${example}`,
    '',
  ].join('\n');
}

function formOf(option: OptionName): string {
  const { value } = OPTIONS[option];
  return value === undefined ? `--${option}` : `--${option} ${value}`;
}

/** Two columns, the second wrapped. */
function columns(rows: readonly (readonly [string, string])[]): readonly string[] {
  const indent = GAP + Math.max(...rows.map(([left]) => left.length)) + GAP;
  return rows.flatMap(([left, right]) =>
    wrapped(right, WIDTH - indent).map((line, index) =>
      index === 0 ? `${' '.repeat(GAP)}${left}`.padEnd(indent) + line : ' '.repeat(indent) + line,
    ),
  );
}

function wrapped(text: string, width: number): readonly string[] {
  const lines: string[] = [''];
  for (const word of text.split(' ')) {
    const last = lines[lines.length - 1]!;
    if (last !== '' && last.length + 1 + word.length > width) lines.push(word);
    else lines[lines.length - 1] = last === '' ? word : `${last} ${word}`;
  }
  return lines;
}
