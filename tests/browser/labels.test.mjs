// The label on paper: each of the three ways to print it is read back by readers nobody here made, and measured.
import assert from 'node:assert/strict';
import { execFile } from 'node:child_process';

import { mkdtemp, readFile, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { promisify } from 'node:util';
import { shot, visit } from './harness/browser.mjs';
import { atBarn, atShelf, bar, button, field, link, pick, pullClutch, said, startByHand, title } from './harness/keeper.mjs';
import { jsqr, pdfPages, pdfTexts, rendered, zbar } from './harness/readers.mjs';
import { site } from './harness/site.mjs';

let server;
let dir;
before(async () => {
  server = await site();
  dir = await mkdtemp(join(tmpdir(), 'candlemark-labels-'));
});
after(async () => {
  await server?.stop();
  if (dir) await rm(dir, { recursive: true, force: true });
});

const atLabel = (act) => atBarn(server, {}, async (open) => {
  await startByHand(open.page);
  await pullClutch(open.page);
  await act(open.page);
  assert.deepEqual(open.faults, []);
});

/** Presses the button and saves the file it gives; gives its path. */
async function given(page, name, pattern) {
  const coming = page.waitForEvent('download');
  await button(page, name).tap();
  const file = await coming;
  assert.match(file.suggestedFilename(), pattern);
  const path = join(dir, file.suggestedFilename());
  await file.saveAs(path);
  return path;
}

/** The label's link: where the app is open, in capitals as far as a host allows, then the box. */
function isLink(text) {
  const { origin, pathname } = new URL(server.url);
  assert.ok(text?.startsWith(`${origin.toUpperCase()}${pathname}#/B/`), String(text));
}

async function agree(page, path) {
  const text = await zbar(path);
  isLink(text);
  assert.equal(await jsqr(page, await readFile(path)), text, 'two readers agree');
  return text;
}

function measures(sizes, expected) {
  assert.equal(sizes.length, expected.length);
  for (const [i, size] of sizes.entries()) {
    for (const side of [0, 1]) assert.ok(Math.abs(size[side] - expected[i][side]) < 0.1, `${size.map((mm) => mm.toFixed(2)).join(' × ')} mm`);
  }
}

test('the PNG for a label printer', () => atLabel(async (page) => {
  const path = await given(page, 'PNG 203 dpi', /^label-.+\.png$/);
  await said(page, 'Label marked as printed.');
  const png = await readFile(path);
  // 203 dpi: eight dots a millimetre.
  const dots = [png.readUInt32BE(16), png.readUInt32BE(20)];
  assert.deepEqual(dots.map((n) => Math.round(n / 8)), [62, 40]);
  await agree(page, path);
  await shot(page, 'label');
}));

test('the PDF, two copies, at its size', () => atLabel(async (page) => {
  await button(page, 'Copies: one more').tap();
  const path = await given(page, 'PDF', /^label-.+\.pdf$/);
  await said(page, 'Label marked as printed.');
  measures(await pdfPages(path), [[62, 40], [62, 40]]);
  await rendered(path, async (pages) => {
    assert.equal(pages.length, 2);
    const texts = [];
    for (const one of pages) texts.push(await agree(page, one));
    assert.equal(texts[0], texts[1]);
  });
}));

/** Chooses what is printed on by its name. */
const printedOn = (page, name) => pick(page, 'Printed on').selectOption({ label: name });

test('every size: the PDF is that size and is read', () => atLabel(async (page) => {
  const names = await pick(page, 'Printed on').locator('option').allInnerTexts();
  const sizes = names.filter((name) => /mm$/.test(name));
  assert.ok(sizes.length >= 15, `${sizes.length} sizes`);
  for (const name of sizes) {
    await printedOn(page, name);
    await page.getByAltText('The label as it prints').waitFor();
    const path = await given(page, 'PDF', /\.pdf$/);
    const mm = name.match(/[\d.]+/g).map(Number);
    const sheet = name.includes(' on ');
    const sheets = { A4: [210, 297], 'US Letter': [215.9, 279.4] };
    // A name tells tenths of a millimetre.
    measures(await pdfPages(path), [sheet ? sheets[name.match(/ on (.+?),/)[1]] : mm.slice(0, 2)]);
    // The smallest roll has no room for a square that a phone could read, and the page says so.
    const left = await page.getByText(/^No room on this size for .*the square code/).count();
    const [w, h] = mm.slice(-2);
    assert.equal(left === 1, w * h < 500, name);
    if (left === 0 && !sheet) await rendered(path, async ([one]) => agree(page, one));
  }
}));

test('a sheet of one\'s own, begun where it is free, goes on there the next time', () => atLabel(async (page) => {
  await printedOn(page, 'Another size…');
  await button(page, 'Sheet').tap();
  for (const [name, value] of [['Label width', '60'], ['Label height', '40'], ['Left edge', '10'], ['Upper edge', '20'], ['Gap between columns', '3']]) {
    await field(page, name).fill(value);
  }
  for (const [name, value] of [['Columns', '4'], ['Rows', '3']]) await field(page, name).fill(value);
  await button(page, 'Keep this size').tap();
  await said(page, /they end .* mm beyond its right/);
  await field(page, 'Columns').fill('3');
  await button(page, 'Keep this size').tap();
  await said(page, 'Size kept on this device.');
  await field(page, 'First free position').fill('8');
  await field(page, 'Copies').fill('3');
  const path = await given(page, 'PDF', /\.pdf$/);
  measures(await pdfPages(path), [[210, 297], [210, 297]]);
  await rendered(path, async (pages) => {
    // Positions 8 and 9 on the first sheet, 1 on the second; nothing before them.
    assert.deepEqual(await blackFrom(page, pages[0]), [1, 2].map((column) => [column, 2]));
    assert.deepEqual(await blackFrom(page, pages[1]), [[0, 0]]);
  });
  assert.equal(await field(page, 'First free position').inputValue(), '2');
  await shot(page, 'label-sheet');
  await button(page, 'Forget this size').tap();
  assert.equal(await pick(page, 'Printed on').locator('option:checked').innerText(), '62 × 40 mm');
}));

/** Which cells of the sheet above (3 × 3, 60 × 40 mm) hold anything black: [column, row] each. */
async function blackFrom(page, picture) {
  const data = `data:image/png;base64,${(await readFile(picture)).toString('base64')}`;
  const studio = await page.context().newPage();
  try {
    await studio.goto('about:blank');
    return await studio.evaluate(async (src) => {
      const image = Object.assign(new Image(), { src });
      await image.decode();
      const canvas = Object.assign(document.createElement('canvas'), { width: image.naturalWidth, height: image.naturalHeight });
      const pen = canvas.getContext('2d');
      pen.drawImage(image, 0, 0);
      const dots = (mm) => Math.round((mm * 300) / 25.4);
      const found = [];
      for (let row = 0; row < 3; row += 1) {
        for (let column = 0; column < 3; column += 1) {
          const { data: bytes } = pen.getImageData(dots(10 + 63 * column), dots(20 + 40 * row), dots(60), dots(40));
          if (bytes.some((value, i) => i % 4 === 0 && value < 100)) found.push([column, row]);
        }
      }
      return found;
    }, data);
  } finally {
    await studio.close();
  }
}

test('what the label shows is chosen, and a reprint says what has changed', () => atLabel(async (page) => {
  // How much of the picture is black.
  const ink = () => page.getByAltText('The label as it prints').evaluate(async (image) => {
    await image.decode();
    const canvas = Object.assign(document.createElement('canvas'), { width: 620, height: 400 });
    const pen = canvas.getContext('2d');
    pen.drawImage(image, 0, 0, 620, 400);
    return pen.getImageData(0, 0, 620, 400).data.filter((value, i) => i % 4 === 0 && value < 128).length;
  });
  const before = await ink();
  assert.equal(await page.getByText(/^Printed before/).count(), 0);
  await page.getByText('What the label shows').tap();
  await page.getByRole('checkbox', { name: 'Strip for pencil' }).uncheck();
  for (let tries = 0; tries < 50 && await ink() === before; tries += 1) await page.evaluate(() => new Promise(requestAnimationFrame));
  assert.notEqual(await ink(), before);
  await given(page, 'PDF', /\.pdf$/);
  await said(page, 'Label marked as printed.');
  await page.getByText(/^Printed before .*; nothing on it has changed\.$/).waitFor();
}));

test('many labels: chosen by what has none yet, as a set of bitmaps, one entry in the daybook', () => atBarn(server, {}, async ({ page, faults }) => {
  await startByHand(page);
  await bar(page, 'More').tap();
  await link(page, /^Print labels/).tap();
  await button(page, 'Enclosures').tap();
  await button(page, 'Print 2 labels').tap();
  await title(page, '2 labels').waitFor();
  const path = await given(page, 'PNG 203 dpi', /^label-2\.zip$/);
  await said(page, '2 labels marked as printed.');
  const names = await unzipped(path);
  assert.equal(names.length, 2);
  const texts = [];
  for (const name of names) texts.push(await zbar(name));
  assert.ok(texts.every((text) => text.includes('#/A/')), texts.join(' '));
  assert.notEqual(texts[0], texts[1]);
  await page.locator('a.back').tap();
  await button(page, 'Enclosures').tap();
  await page.getByText('Everything of this kind has a label.').waitFor();
  await button(page, 'Undo').tap();
  await button(page, 'Print 2 labels').waitFor();
  await shot(page, 'labels-choose');
  assert.deepEqual(faults, []);
}));

test('all shelves of an incubator get their labels at once, each with its own code', () => atShelf(server, async ({ page }) => {
  await page.locator('a.back').tap();
  await link(page, /^Incubator A/).tap();
  await link(page, 'Print labels inside (4)').tap();
  await title(page, '4 labels').waitFor();
  const names = await unzipped(await given(page, 'PNG 203 dpi', /^label-4\.zip$/));
  const texts = [];
  for (const name of names) texts.push(await zbar(name));
  assert.equal(new Set(texts).size, 4);
  assert.ok(texts.every((text) => text.includes('#/P/')), texts.join(' '));
  // Large, for doors: the four together on one sheet.
  await printedOn(page, '2 × 4 on A4, each 105 × 74 mm');
  await rendered(await given(page, 'PDF', /\.pdf$/), async (sheets) => {
    const read = [];
    for (const sheet of sheets) read.push(...(await zbar(sheet)).split('\n'));
    assert.deepEqual(read.toSorted(), texts.toSorted());
  });
  await shot(page, 'label-shelf');
  // The chooser takes shelves apart from doors and tubs; these have theirs by now.
  await visit(page, server.url, '#/labels');
  await button(page, 'Places').tap();
  await button(page, 'Shelves').tap();
  await page.getByText('Everything of this kind has a label.').waitFor();
  await button(page, 'Rooms, racks, incubators').tap();
  await button(page, 'Print 1 label').waitFor();
}));

/** Unpacks an archive with Python's reader; gives the files' paths. */
async function unzipped(path) {
  const to = await mkdtemp(join(dir, 'set-'));
  await promisify(execFile)('python3', ['-m', 'zipfile', '-e', path, to]);
  return (await readdir(to)).sort().map((name) => join(to, name));
}

test('three hundred labels: the page lives on, and can stop it', () => atBarn(server, {}, async ({ page, faults }) => {
  await startByHand(page);
  await pullClutch(page);
  const thing = new URL(page.url()).hash.split('/').slice(-2).join(':');
  const open = async (many) => {
    await visit(page, server.url, `#/labels/${Array(many).fill(thing).join(',')}`);
    await title(page, `${many} labels`).waitFor();
  };
  await open(300);
  // The longest time the page did not come round to anything else, ms.
  await page.evaluate(() => {
    window.stillest = 0;
    let last = performance.now();
    const look = () => { window.stillest = Math.max(window.stillest, performance.now() - last); last = performance.now(); setTimeout(look, 0); };
    look();
  });
  const path = await given(page, 'PDF', /^label-300\.pdf$/);
  assert.equal((await pdfPages(path)).length, 300);
  await said(page, '300 labels marked as printed.');
  console.log(`300 labels: stillest ${Math.round(await page.evaluate(() => window.stillest))} ms`);
  // So many that they are not done before a hand has looked where to stop them.
  await open(2000);
  await button(page, 'PDF').tap();
  await button(page, 'Stop').tap();
  await said(page, 'Stopped. Nothing was printed.');
  assert.deepEqual(faults, []);
}));

test('a printer that prints askew is measured and put right', () => atLabel(async (page) => {
  await page.getByText('Printer', { exact: true }).first().tap();
  await link(page, 'Ruler page: check print size').tap();
  const ruler = await given(page, 'Ruler page as PDF', /^ruler-page\.pdf$/);
  measures(await pdfPages(ruler), [[62, 40]]);
  await field(page, 'Name of the printer').fill('Bench');
  for (const [name, value] of [['Level ruler', '4'], ['Upright ruler', '30'], ["Paper's left", '6'], ["Paper's upper", '5']]) await field(page, name).fill(value);
  await button(page, 'Keep for this printer').tap();
  await said(page, /measure the ruler page again/);
  await field(page, 'Level ruler').fill('50');
  await button(page, 'Keep for this printer').tap();
  await said(page, 'Kept on this device and used from now on.');
  await page.getByText('moved 1.0 mm left, 0.0 mm down; 100.0 % wide, 100.0 % high').waitFor();
  await shot(page, 'printer');
}));

test('the browser\'s own print: one page of the label\'s size, and nothing else on it', () => atLabel(async (page) => {
  // A headless browser shows no print dialogue; what the page is when it is asked for stands in for it.
  await page.evaluate(() => {
    window.print = () => { window.atPrint = [...document.adoptedStyleSheets]; };
  });
  await button(page, 'Print').tap();
  await said(page, 'Label marked as printed.');
  await page.evaluate(() => { document.adoptedStyleSheets = window.atPrint; });
  const path = join(dir, 'print.pdf');
  await writeFile(path, await page.pdf({ preferCSSPageSize: true, printBackground: true }));
  const sizes = await pdfPages(path);
  // A browser rounds a page to whole points.
  assert.equal(sizes.length, 1);
  assert.deepEqual((await pdfTexts(path)).map((text) => text.trim()), [''], 'a label has no number of its page');
  for (const [side, mm] of [62, 40].entries()) assert.ok(Math.abs(sizes[0][side] - mm) < 0.4, `${sizes[0]}`);
  await rendered(path, async ([one]) => agree(page, one));
}));
