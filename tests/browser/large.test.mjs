// A large season (500 animals, 300 clutches, 2,400 babies, about 60,000 meals) stays usable: no list holds more than a
// capped number of rows in the page, there is a way to the others, and what is looked for is found.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { keep, largeSeason } from '../bench/history.mjs';
import { reload, shot, visit } from './harness/browser.mjs';
import { atBarn, button, field, link, title, whole } from './harness/keeper.mjs';
import { onPaper, pdfTexts } from './harness/readers.mjs';
import { site } from './harness/site.mjs';

/** A page of rows (60), the table behind a chart of them (60), and what stands around. */
const MOST = 130;

let server, season;
before(async () => { [server, season] = await Promise.all([site(), largeSeason()]); });
after(async () => { await server?.stop(); });

const rows = (page) => page.locator('main .row, main tbody tr').count();

test('every list of a large season is capped, and search finds', { timeout: 600_000 }, () => atBarn(server, { reducedMotion: 'reduce' }, async ({ context, page, faults }) => {
  context.setDefaultTimeout(90_000);
  // The season stands on this evening.
  await page.addInitScript(() => {
    const Own = Date;
    const shift = Own.UTC(2026, 7, 20, 19, 0) - Own.now();
    globalThis.Date = class extends Own {
      constructor(...parts) { super(...(parts.length > 0 ? parts : [Own.now() + shift])); }
      static now() { return Own.now() + shift; }
    };
  });
  await keep(page, season);
  await reload(page);
  await page.locator('main .row').first().waitFor();

  const lists = [
    ['rounds', '#/', /^Rounds/], ['animals', '#/animals', /^Animals/], ['boxes', '#/boxes', /^Boxes/],
    ['babies', '#/babies', /^Hatchlings/], ['many', '#/animals/many', /^Several/], ['daybook', '#/daybook', /^Daybook/],
    ['ahead', '#/ahead', /days ahead/], ['pairings', '#/pairings', /^Pairings/],
  ];
  for (const [name, where, called] of lists) {
    await visit(page, server.url, where);
    await title(page, called).waitFor();
    await page.locator('main .row').first().waitFor();
    const count = await rows(page);
    console.log(`rows ${name}=${count}`);
    assert.ok(count > 5 && count <= (name === 'ahead' ? 8 * 31 : name === 'pairings' ? 3 * 61 : MOST), `${name}: ${count} rows`);
    await shot(page, `large-${name}`);
  }
  // The way to the others: another page of rows in place of the first.
  await visit(page, server.url, '#/daybook');
  const newest = await page.locator('main .row').first().innerText();
  await button(page, 'After').tap();
  await page.getByText(/61–120/).waitFor();
  assert.notEqual(await page.locator('main .row').first().innerText(), newest);
  assert.ok(await rows(page) <= MOST);

  // Two taps to anything: by its name, or as one of the last opened.
  await visit(page, server.url);
  await page.getByRole('searchbox').fill('26-0031');
  await link(page, /^26-0031/).first().tap();
  await title(page, /26-0031/).waitFor();
  await visit(page, server.url);
  await page.getByRole('searchbox').tap();
  await page.getByRole('heading', { name: 'Opened last' }).waitFor();
  await link(page, /^26-0031/).first().tap();
  await title(page, /26-0031/).waitFor();

  // On paper: in columns, everybody once, each sheet numbered.
  await visit(page, server.url, '#/where/sheet');
  await page.locator('main .wall').waitFor();
  await whole(page);
  const lines = await page.locator('main .wall td p').allInnerTexts();
  const sheets = await onPaper(page, pdfTexts);
  console.log(`sheets of the barn sheet=${sheets.length}`);
  assert.ok(sheets.length > 1 && sheets.length <= 30, `${sheets.length} sheets`);
  for (const [at, text] of sheets.entries()) assert.match(text, new RegExp(`\\b${at + 1} ?/ ?${sheets.length}\\s*$`));
  const short = lines.filter((line) => line.length < 30);
  assert.ok(short.length > 1000, `${short.length} of ${lines.length} lines`);
  const paper = sheets.join(' ').replace(/\s+/g, ' ');
  assert.deepEqual(short.filter((line) => !paper.includes(line)), []);

  await visit(page, server.url, '#/animals/many');
  await field(page, /^Name/).or(page.getByRole('searchbox')).first().fill('26-0031');
  await page.waitForFunction(() => document.querySelectorAll('main .row').length <= 12);
  assert.ok(await rows(page) >= 1);
  assert.deepEqual(faults, []);
}));
