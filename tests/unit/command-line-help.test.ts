import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { COMMAND_TEXTS, type CommandName } from '../../engine/cli/command-options.ts';
import { commandText, overviewText } from '../../engine/cli/help-text.ts';
import { parseOptions } from '../../engine/cli/options.ts';
import { cliplead } from './command-run.ts';

const NAMES = Object.keys(COMMAND_TEXTS) as CommandName[];
const folder = mkdtempSync(join(tmpdir(), 'cliplead-help-'));

afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** The words of an example, split as a shell splits them. */
const words = (line: string) =>
  [...line.matchAll(/"([^"]*)"|(\S+)/g)].map(([, quoted, bare]) => quoted ?? bare!);

describe('the help', () => {
  it.each([[['--help']], [['-h']], [['help']], [[]]])('lists every command: %j', async (args) => {
    const { code, out } = await cliplead(...args);
    expect(code).toBe(0);
    for (const name of NAMES) expect(out).toMatch(new RegExp(`^ +${name} +\\S`, 'm'));
  });

  it.each([
    ['render', '--help'],
    ['render', '-h'],
    ['render', '--build', 'soft-plain', '--help'],
    ['help', 'render'],
  ])('says what a command takes: %s %s', async (...args) => {
    const { code, out, err } = await cliplead(...args);
    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(out).toBe(commandText('render'));
  });

  it.each(NAMES)(
    'of "%s" has the usage, every option with its description, and an example that the command accepts',
    (name) => {
      const text = commandText(name);
      expect(text).toContain(`Usage: cliplead ${name} `);
      for (const option of COMMAND_TEXTS[name].options)
        expect(text).toMatch(new RegExp(`^  --${option}\\b.* \\S`, 'm'));
      const example = /^Example: (.*)$/m.exec(text)?.[1] ?? '';
      const [program, command, ...rest] = words(example);
      expect([program, command]).toEqual(['cliplead', name]);
      expect(() => parseOptions(name, rest)).not.toThrow();
    },
  );

  it('states units and defaults', async () => {
    expect(commandText('sine')).toMatch(/--hz HZ .*Hz \(440\)/);
    expect(commandText('sine')).toMatch(/--peak V .*volts \(0\.2\)/);
    expect(commandText('voltages')).toMatch(/--temperature CELSIUS .*°C, -10 to 60 \(27\)/);
  });

  it('is not wider than a terminal', async () => {
    const lines = [overviewText(), ...NAMES.map(commandText)].flatMap((text) => text.split('\n'));
    // An example is on a line of its own, so that it can be copied.
    const wide = lines.filter((line) => line.length > 100 && !line.startsWith('Example: '));
    expect(wide).toEqual([]);
  });
});

describe('an option or command that does not exist', () => {
  it.each([
    [
      ['voltages', '--temperatur', '40'],
      /no option --temperatur\. Did you mean --temperature\? .*voltages --help/,
    ],
    [['render', '--ouput=x.wav'], /no option --ouput\. Did you mean --out.*\?/],
    [['voltages', '--hz', '100'], /voltages takes no --hz\. .*voltages --help/],
    [['voltages', '-x'], /no option -x\. .*voltages --help/],
    [['voltage'], /no command "voltage"\. Did you mean voltages\?/],
    [['help', 'dance'], /no command "dance"/],
  ])('is refused with the nearest one and the help: %j', async (args, message) => {
    const { code, out, err } = await cliplead(...args);
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toMatch(message);
    expect(err.trimEnd()).not.toContain('\n');
  });
});

describe('the check of a file', () => {
  const preset = JSON.parse(readFileSync('presets/soft-plain.json', 'utf8')) as Record<string, unknown>;
  const checked = async (content: unknown) => {
    const name = join(folder, 'checked.json');
    writeFileSync(name, typeof content === 'string' ? content : JSON.stringify(content));
    const { code, out, err } = await cliplead('circuit', '--check', name, '--json');
    const { problems = [] } =
      out === '' ? {} : (JSON.parse(out) as { problems?: { code: string; place: string }[] });
    return { code, err, problems: problems.map((problem) => [problem.code, problem.place]) };
  };

  it('ends with 0 where there is no problem', async () => {
    expect(await checked(preset)).toEqual({ code: 0, err: '', problems: [] });
  });

  it('prints every problem of a build file, each with its code and place', async () => {
    const parts = { R4: '4kk7', R99: '1k', D1: '1N99999', Q1: 'J201', C1: 5 };
    const { code, problems } = await checked({
      ...preset,
      parts,
      knobs: { gain: 3 },
      switches: { clipping: 'up' },
      colour: 1,
    });
    expect(code).toBe(2);
    expect(problems).toEqual([
      ['unknown-key', 'colour'],
      ['value', 'parts.R4'],
      ['unknown-part', 'parts.R99'],
      ['unknown-type', 'parts.D1'],
      ['wrong-kind', 'parts.Q1'],
      ['wrong-shape', 'parts.C1'],
      ['bad-switch', 'switches.clipping'],
      ['bad-knob', 'knobs.gain'],
    ]);
  });

  it('prints the reason for which a complete build cannot be solved', async () => {
    const parts = { ...(preset['parts'] as object), R5: { value: '10k', fit: 'open' } };
    expect(await checked({ ...preset, parts })).toMatchObject({
      code: 2,
      problems: [['floating-net', 'gain input']],
    });
  });

  it('ends with 2 for a file that is not JSON, with the reason in one line', async () => {
    const { code, err } = await checked('{"format": ');
    expect(code).toBe(2);
    expect(err).toMatch(/^cliplead: --check: this is not JSON \(.*\)\.\n$/);
  });
});
