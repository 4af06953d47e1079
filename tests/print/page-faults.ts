import type { PrintedDocument, PrintedLine, PrintedPage } from './printed-pages.ts';

/** What printers and hole punches leave: nothing may stand nearer to the edges; the footer has a place of its own, mm. */
const MARGIN_MM = { sides: 11, top: 11, bottom: 5 };
/** Height of the margin with the footer, mm. */
const FOOTER_MM = 16;
const PT_PER_MM = 72 / 25.4;
/** The least share of a page's height that is used. */
const LEAST_USED = 0.15;
/** Lines that stay with a heading, if its section has so many. */
const LINES_WITH_HEADING = 3;
/** Letters of the smallest heading are higher than those of the text, pt. */
const HEADING_HEIGHT_PT = 11.4;

/** What is wrong with the pages, in sentences; nothing where a person would be content with all of them. */
export function pageFaults(document: PrintedDocument): readonly string[] {
  return [
    ...document.pages.flatMap((page, index) =>
      [...marginFaults(page), ...blankFaults(page)].map((fault) => `page ${index + 1}: ${fault}`),
    ),
    ...document.cut.map((what) => `too wide for its room: ${what}`),
    ...headingFaults(document),
    ...rowFaults(document),
    ...schematicFaults(document),
    ...textFaults(document),
  ];
}

/** The white ring around each page. */
function marginFaults({ ink, widthPixels, heightPixels, widthPt }: PrintedPage): readonly string[] {
  const pixels = (mm: number) => Math.round((mm * PT_PER_MM * widthPixels) / widthPt);
  const [sides, top, bottom] = [pixels(MARGIN_MM.sides), pixels(MARGIN_MM.top), pixels(MARGIN_MM.bottom)];
  for (let y = 0; y < heightPixels; y++) {
    const isInside = y >= top && y < heightPixels - bottom;
    for (let x = 0; x < widthPixels; x++) {
      if (isInside && x === sides) x = widthPixels - sides;
      if (ink(x, y)) return [`ink in the margin at ${x}, ${y} of ${widthPixels} × ${heightPixels} pixels`];
    }
  }
  return [];
}

function blankFaults(page: PrintedPage): readonly string[] {
  const last = lowestInk(page, page.heightPt - FOOTER_MM * PT_PER_MM);
  const used = last / page.heightPixels;
  return used >= LEAST_USED ? [] : [`nearly blank: ink in the upper ${(100 * used).toFixed(0)} % alone`];
}

/** The lowest row of pixels with ink above a height, pt from the top. */
function lowestInk(page: PrintedPage, abovePt: number): number {
  for (let y = Math.floor((abovePt * page.heightPixels) / page.heightPt); y > 0; y--)
    if (inkIn(page, y) > 0) return y;
  return 0;
}

function inkIn({ ink, widthPixels }: PrintedPage, y: number): number {
  let count = 0;
  for (let x = 0; x < widthPixels; x++) if (ink(x, y)) count++;
  return count;
}

const body = ({ lines, heightPt }: PrintedPage): readonly PrintedLine[] =>
  lines.filter(({ bottom }) => bottom < heightPt - FOOTER_MM * PT_PER_MM);

/** Each heading is there, with the first lines of its section on its page. */
function headingFaults({ pages, headings }: PrintedDocument): readonly string[] {
  const lines = pages.flatMap((page, index) => body(page).map((line) => ({ ...line, page: index })));
  const isHeading = ({ text, height }: PrintedLine) => height > HEADING_HEIGHT_PT && headings.includes(text);
  const places = lines.flatMap((line, index) => (isHeading(line) ? [index] : []));
  if (places.length !== headings.length)
    return [`${places.length} headings are printed of ${headings.length}: ${headings.join(', ')}`];
  return places.flatMap((place, index) => {
    const section = lines.slice(place + 1, places[index + 1] ?? lines.length);
    const wanted = Math.min(LINES_WITH_HEADING, section.length);
    const beside = section.filter(({ page }) => page === lines[place]!.page).length;
    const name = `“${lines[place]!.text}” on page ${lines[place]!.page + 1}`;
    return beside >= wanted ? [] : [`${name} has ${beside} lines below it there`];
  });
}

/** Where a table goes on, the page before ends with the line below its last row; within a row there is none. */
function rowFaults({ pages, tableHeads }: PrintedDocument): readonly string[] {
  return pages.slice(1).flatMap((page, index) => {
    const first = body(page)[0]?.text ?? '';
    // A head of two lines begins with the words of its upper one.
    if (!tableHeads.some((head) => head === first || isUpperLine(first, head))) return [];
    const before = pages[index]!;
    const last = lowestInk(before, before.heightPt - FOOTER_MM * PT_PER_MM);
    const across = Math.max(...[0, 1, 2].map((up) => inkIn(before, last - up)));
    return across > 0.7 * before.widthPixels ? [] : [`page ${index + 1}: the last row of a table is cut`];
  });
}

function isUpperLine(line: string, head: string): boolean {
  const words = head.split(' ');
  return line.split(' ').length >= 3 && line.split(' ').every((word) => words.includes(word));
}

/** All parts of a drawing are on one page. */
function schematicFaults({ pages, schematics }: PrintedDocument): readonly string[] {
  return schematics.flatMap((labels, index) => {
    const wanted = labels.flatMap((label) => label.split(' '));
    const isOnOne = pages.some(({ words }) => wanted.every((word) => words.includes(word)));
    return isOnOne && wanted.length > 0 ? [] : [`schematic ${index + 1} is not whole on one page`];
  });
}

/** No text is lost; a long word may be broken. */
function textFaults({ pages, texts }: PrintedDocument): readonly string[] {
  const words = new Set(pages.flatMap((page) => page.words));
  const joined = pages.flatMap((page) => page.words).join('');
  const lost = texts.flatMap((text) =>
    text.split(' ').filter((word) => word !== '' && !words.has(word) && !joined.includes(word)),
  );
  return lost.length === 0 ? [] : [`not printed: ${[...new Set(lost)].slice(0, 8).join(', ')}`];
}
