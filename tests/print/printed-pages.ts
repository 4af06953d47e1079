import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import type { Browser } from 'playwright-core';

/** A line of words that stand beside each other on a page, over all columns. Places in points from the upper left corner. */
export interface PrintedLine {
  readonly text: string;
  readonly top: number;
  readonly bottom: number;
  /** Of its highest word. */
  readonly height: number;
}

/** A page as it leaves the printer. */
export interface PrintedPage {
  readonly widthPt: number;
  readonly heightPt: number;
  readonly lines: readonly PrintedLine[];
  readonly words: readonly string[];
  /** Whether there is ink in a pixel. */
  readonly ink: (x: number, y: number) => boolean;
  readonly widthPixels: number;
  readonly heightPixels: number;
}

/** What the checks need to know of the document beside its pages. */
export interface PrintedDocument {
  readonly pages: readonly PrintedPage[];
  /** What is wider than its room, and so cut. */
  readonly cut: readonly string[];
  readonly headings: readonly string[];
  /** Heads of the tables, each as one line. */
  readonly tableHeads: readonly string[];
  /** Texts of paragraphs, items and cells. */
  readonly texts: readonly string[];
  /** Labels of each schematic. */
  readonly schematics: readonly (readonly string[])[];
}

/** 182 mm of 96 pixels to the inch. */
const TEXT_WIDTH_PX = 688;
const PIXELS_PER_INCH = 80;
/** Darker than this a pixel has ink, of 255. Thin lines are grey once they are rendered. */
const INK_BELOW = 235;
/** Words of a line have about the same foot. */
const SAME_LINE_PT = 2.6;

/**
 * Prints an HTML document with Chromium and renders its pages.
 *
 * @param name Pictures are kept as NAME-1.png in the folder of CLIPLEAD_PICTURES, if it is set, with the PDF.
 */
export async function printed(browser: Browser, html: string, name: string): Promise<PrintedDocument> {
  const folder = mkdtempSync(path.join(tmpdir(), 'cliplead-print-'));
  const pdf = path.join(folder, `${name}.pdf`);
  const page = await browser.newPage();
  try {
    // As wide as the text on A4, so that what is too wide for the paper is so here.
    await page.setViewportSize({ width: TEXT_WIDTH_PX, height: 1000 });
    await page.emulateMedia({ media: 'print' });
    await page.setContent(html, { waitUntil: 'load' });
    const read = await page.evaluate(() => {
      const flat = (element: Element) => {
        const copy = element.cloneNode(true) as Element;
        // They are for pointers and screen readers.
        for (const title of copy.querySelectorAll('title')) title.remove();
        return (copy.textContent ?? '').replace(/\s+/g, ' ').trim();
      };
      const all = (selector: string, within: ParentNode = document) => [...within.querySelectorAll(selector)];
      const isOutside = (element: Element, frame: Element) => {
        const [own, room] = [element.getBoundingClientRect(), frame.getBoundingClientRect()];
        return own.left < room.left - 1 || own.right > room.right + 1;
      };
      const drawn = all('svg').flatMap((drawing) =>
        all('text', drawing).map((text) => [text, drawing] as const),
      );
      const cells = all('td, th').map((cell) => [cell, cell] as const);
      const blocks = all('body *')
        .filter((element) => element.closest('svg') === null || element.localName === 'svg')
        .filter((element) => element.getClientRects().length > 0)
        .map((element) => [element, document.body] as const);
      const outside = [...blocks, ...drawn].filter(([element, frame]) => isOutside(element, frame));
      const wide = cells.filter(([cell]) => cell.scrollWidth > cell.clientWidth + 1);
      return {
        cut: [...outside, ...wide].map(([element]) => `${element.localName} “${flat(element).slice(0, 30)}”`),
        headings: all('h1, h2, h3').map(flat),
        tableHeads: all('thead tr').map((row) => all('th', row).map(flat).join(' ').trim()),
        texts: all('p, li, dd, td').map(flat),
        schematics: all('svg.schematic').map((drawing) => all('text.ref', drawing).map(flat)),
      };
    });
    await page.pdf({ path: pdf, preferCSSPageSize: true });
    keepPictures(pdf, name);
    return { ...read, pages: pagesOf(pdf, folder) };
  } finally {
    await page.close();
    rmSync(folder, { recursive: true, force: true });
  }
}

function keepPictures(pdf: string, name: string): void {
  const kept = process.env['CLIPLEAD_PICTURES'];
  if (kept === undefined || kept === '') return;
  mkdirSync(kept, { recursive: true });
  writeFileSync(path.join(kept, `${name}.pdf`), readFileSync(pdf));
  execFileSync('pdftoppm', ['-png', '-r', '100', pdf, path.join(kept, name)]);
}

function pagesOf(pdf: string, folder: string): readonly PrintedPage[] {
  execFileSync('pdftoppm', ['-gray', '-r', `${PIXELS_PER_INCH}`, pdf, path.join(folder, 'page')]);
  const pictures = readdirSync(folder)
    .filter((file) => file.endsWith('.pgm'))
    .sort();
  const text = execFileSync('pdftotext', ['-bbox', pdf, '-'], { encoding: 'utf8', maxBuffer: 1e8 });
  const pages = text.split('<page ').slice(1);
  return pages.map((each, index) => ({
    ...pageText(each),
    ...pagePicture(readFileSync(path.join(folder, pictures[index]!))),
  }));
}

function pageText(page: string) {
  const [, width, height] = /width="([\d.]+)" height="([\d.]+)"/.exec(page)!;
  const pattern = /<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="[-\d.]+" yMax="([-\d.]+)">(.*?)<\/word>/g;
  const words = [...page.matchAll(pattern)].map(([, left, top, bottom, word]) => ({
    left: Number(left),
    top: Number(top),
    bottom: Number(bottom),
    word: plain(word!),
  }));
  return {
    widthPt: Number(width),
    heightPt: Number(height),
    words: words.map(({ word }) => word),
    lines: linesOf(words),
  };
}

function linesOf(words: readonly { left: number; top: number; bottom: number; word: string }[]) {
  const lines: (typeof words)[number][][] = [];
  for (const word of [...words].sort((one, other) => one.bottom - other.bottom)) {
    const last = lines.at(-1);
    if (last && word.bottom - last[0]!.bottom < SAME_LINE_PT) last.push(word);
    else lines.push([word]);
  }
  return lines.map((line) => ({
    text: [...line]
      .sort((one, other) => one.left - other.left)
      .map(({ word }) => word)
      .join(' '),
    top: Math.min(...line.map(({ top }) => top)),
    bottom: Math.max(...line.map(({ bottom }) => bottom)),
    height: Math.max(...line.map(({ top, bottom }) => bottom - top)),
  }));
}

const plain = (text: string): string =>
  text
    .replace(/&lt;/g, '<')
    .replace(/&gt;/g, '>')
    .replace(/&quot;/g, '"')
    .replace(/&#39;/g, "'")
    .replace(/&amp;/g, '&');

/** A picture in the portable graymap format, "P5 width height 255", one byte a pixel. */
function pagePicture(bytes: Buffer) {
  const [head, width, height] = /^P5\s+(\d+)\s+(\d+)\s+255\s/.exec(bytes.subarray(0, 40).toString('latin1'))!;
  const [widthPixels, heightPixels] = [Number(width), Number(height)];
  const pixels = bytes.subarray(head.length);
  return {
    widthPixels,
    heightPixels,
    ink: (x: number, y: number) => (pixels[y * widthPixels + x] ?? 255) < INK_BELOW,
  };
}
