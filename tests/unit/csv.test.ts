import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { csvText, readCsv } from '../../engine/input/csv.ts';

describe('comma-separated values', () => {
  it('quote what RFC 4180 wants quoted', () => {
    // Section 2, rules 5 to 7.
    expect(csvText([['a', 'b,c', 'say "x"', 'two\r\nlines']])).toBe('a,"b,c","say ""x""","two\r\nlines"\r\n');
  });

  it('cannot run as a formula in a spreadsheet', () => {
    // OWASP, "CSV Injection": cells that begin with = + - @, tab or carriage return.
    for (const cell of ['=1+1', '+1', '-1', '@x', '\tx'])
      expect(csvText([[cell]]).replace(/^"/, '')).toMatch(/^'/);
  });

  it('read back as they were written, whatever is in the cells', () => {
    const cell = fc.oneof(fc.string(), fc.stringMatching(/^['=+\-@";,\r\n a]{0,6}$/));
    fc.assert(
      fc.property(fc.array(fc.array(cell, { minLength: 2, maxLength: 4 }), { minLength: 1 }), (rows) => {
        const table = [['head', 'line'], ...rows];
        const kept = rows.filter((row) => row.some((text) => text.trim() !== ''));
        expect(readCsv(csvText(table)).map(({ cells }) => cells)).toEqual([['head', 'line'], ...kept]);
      }),
    );
  });

  it('may have semicolons, a byte order mark, and lines that end with LF', () => {
    expect(readCsv('\uFEFFa;b\n"1;5";2\n\n3;4')).toEqual([
      { number: 1, cells: ['a', 'b'] },
      { number: 2, cells: ['1;5', '2'] },
      { number: 4, cells: ['3', '4'] },
    ]);
  });

  it.each([
    ['a,b\r\n1,"2', 'line 2: a quote is not closed'],
    ['a,b\r\n1,2"3', 'line 2: a quote in the middle of "2"3"; put the whole cell in quotes'],
    ['a,b\r\n"1"2,3', 'line 2: text behind the closing quote of "1"'],
  ])('%j are refused with the line', (text, message) => {
    expect(() => readCsv(text)).toThrow(message);
  });
});
