// The season ahead and behind: what is coming and why, what if without a trace, what it needs, looking back, on paper.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { smallTargets, violations } from './harness/access.mjs';
import { shot, visit } from './harness/browser.mjs';
import { atBarn, button, link, loadSeason, pick, said, title, whole } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const open = async (page, part, name) => {
  await visit(page, server.url, `#/season/${part}`);
  await title(page, name).waitFor();
  await whole(page);
};
const weeks = (page) => page.locator('section.weeks').first().locator('summary').allInnerTexts();
/** Everything in the store, as one text. */
const stored = (page) => page.evaluate(async () => {
  const all = [];
  for (const { name } of await indexedDB.databases()) {
    const db = await new Promise((done, failed) => { const r = indexedDB.open(name); r.onsuccess = () => done(r.result); r.onerror = failed; });
    for (const store of db.objectStoreNames) {
      const rows = await new Promise((done) => { const r = db.transaction(store).objectStore(store).getAllKeys(); r.onsuccess = () => done(r.result); });
      all.push(`${name} ${store} ${rows.length}`);
    }
    db.close();
  }
  return all.join('\n');
});

test('the weeks ahead say how many and which clutches, and a what-if leaves no trace', () => atBarn(server, {}, async ({ page, faults }) => {
  await loadSeason(page);
  await visit(page, server.url, '#/season');
  await link(page, /^Weeks ahead/).tap();
  await title(page, 'Weeks ahead').waitFor();
  await whole(page);
  const plain = await weeks(page);
  assert.ok(plain.length >= 8, `weeks with babies: ${plain.length}`);
  for (const line of plain) assert.match(line.replace(/\s+/g, ' '), /^Week of .* expected, likely \d+(–\d+)?$/);
  // The reason, on a tap, leads to the clutch.
  const first = page.locator('section.weeks details').first();
  await first.locator('summary').tap();
  const clutch = first.getByRole('link').first();
  const number = await clutch.innerText();
  assert.match(await first.innerText(), /at least one: /);
  assert.equal(await page.getByRole('heading', { name: 'Pairs that have not laid' }).count(), 1, 'pairs stand apart');
  await button(page, 'Boxes pipping').tap();
  await page.getByRole('img', { name: /^Boxes pipping, week by week, of all that is laid/ }).waitFor();
  await button(page, 'Babies out').tap();

  const before = await stored(page);
  await page.getByText('What if…').tap();
  const shelves = await pick(page, 'A shelf or incubator').locator('option').allInnerTexts();
  await pick(page, 'A shelf or incubator').selectOption(shelves.find((name) => /Shelf 4/.test(name)));
  for (let i = 0; i < 3; i += 1) await button(page, '0.5 °C cooler').tap();
  await page.getByText(/first pip .* instead of/).first().waitFor();
  await page.getByRole('heading', { name: 'The season with this change' }).waitFor();
  assert.notDeepEqual(await weeks(page), plain);
  await shot(page, 'season-what-if', { fullPage: true });
  await button(page, 'Leave the what-if').tap();
  await page.waitForFunction(() => !document.querySelector('[data-what-if]'));
  assert.deepEqual(await weeks(page), plain, 'as before');
  assert.equal(await stored(page), before, 'nothing was written');

  await pick(page, 'Of').selectOption({ label: 'corn snake' });
  await page.waitForFunction((was) => [...document.querySelector('section.weeks')?.querySelectorAll('summary') ?? []].map((line) => line.innerText).join() !== was, plain.join());
  await pick(page, 'Of').selectOption({ label: 'the whole barn' });
  await page.locator('section.weeks details').first().locator('summary').tap();
  await link(page, number).first().tap();
  await page.getByRole('heading', { level: 1, name: new RegExp(number) }).waitFor();
  assert.deepEqual(faults, []);
}));

test('what it needs follows what there is', () => atBarn(server, {}, async ({ page, faults }) => {
  await loadSeason(page);
  await open(page, 'needs', 'What it needs');
  const tubs = page.getByRole('textbox', { name: 'Tubs for hatchlings: how many there are' });
  await page.getByText(/run short in the week of/).first().waitFor();
  await tubs.fill('900');
  await button(page, 'Save: Tubs for hatchlings').tap();
  await said(page, 'Saved.');
  await page.getByText('900 are enough, as far as can be seen.').waitFor();
  const shelf = page.locator('details', { hasText: 'Shelf 3' }).first();
  await shelf.locator('summary').tap();
  await shelf.getByText(/free after/).first().waitFor();
  assert.deepEqual(faults, []);
}));

test('looking back says what the data can carry, and opens to the clutches', () => atBarn(server, {}, async ({ page, faults }) => {
  await loadSeason(page);
  await open(page, 'back', 'Look back');
  for (const [of, by] of [['Fertility', 'dam'], ['Days to first pip', 'species'], ['Hatch rate', 'shelf'], ['Baby mass', 'year']]) {
    await pick(page, 'What').selectOption(of);
    await pick(page, 'By').selectOption(by);
    await page.getByRole('img', { name: new RegExp(`^${of} by ${by}`) }).waitFor();
    const verdict = await page.locator('[data-verdict]').innerText();
    assert.match(verdict, /Too few clutches to tell|more than chance would/, `${of} by ${by}`);
    const rows = await page.locator('section.weeks').first().locator('summary').allInnerTexts();
    for (const row of rows) assert.match(row, /clutch(es)?/, 'no number without its n');
    if (!/highest first/.test(verdict)) {
      const names = await page.locator('section.weeks').first().locator('summary .title').allInnerTexts();
      assert.deepEqual(names, [...names].sort((a, b) => (a < b ? -1 : 1)), `${of} by ${by}: not ranked`);
    }
  }
  await shot(page, 'season-back', { fullPage: true });
  const row = page.locator('section.weeks details').first();
  await row.locator('summary').tap();
  const number = await row.getByRole('link').last().innerText();
  await row.getByRole('link', { name: number, exact: true }).tap();
  await page.getByRole('heading', { level: 1, name: new RegExp(number) }).waitFor();
  assert.deepEqual(faults, []);
}));

test('a chart is saved as it looks, as SVG and as PNG', () => atBarn(server, { kind: 'desktop', acceptDownloads: true }, async ({ page, faults }) => {
  await page.getByRole('button', { name: 'Load the Alder Lane season' }).click();
  await page.getByText('Alder Lane, an invented season').waitFor({ timeout: 60_000 });
  await open(page, 'weeks', 'Weeks ahead');
  const save = async (name) => {
    const [download] = await Promise.all([page.waitForEvent('download'), button(page, name).first().click()]);
    return readFile(await download.path());
  };
  const svg = (await save('Save as SVG')).toString();
  assert.match(svg, /^<svg[^>]* xmlns="http:\/\/www\.w3\.org\/2000\/svg"/);
  assert.match(svg, /<rect class="mean"[^>]* fill="rgb\(/, 'its colours go with it');
  const png = await save('Save as PNG');
  assert.equal(png.subarray(1, 4).toString(), 'PNG');
  assert.equal(png.readUInt32BE(16), 1080, 'wide');
  assert.deepEqual(faults, []);
}));

test('the report and the barn book print on clean paper, from the night theme too', () => atBarn(server, { kind: 'desktop' }, async ({ page }) => {
  await page.getByRole('button', { name: 'Load the Alder Lane season' }).click();
  await page.getByText('Alder Lane, an invented season').waitFor({ timeout: 60_000 });
  await visit(page, server.url, '#/settings');
  await button(page, 'Night').click();
  const dir = await mkdtemp(join(tmpdir(), 'candlemark-report-'));
  try {
    for (const [part, name, shows, most] of [['report', 'Report of the season', /Babies out/, 8], ['book', 'Barn book of the year', /Dam × sire/, 4]]) {
      await open(page, part, name);
      await page.getByText(shows).first().waitFor({ state: 'attached' });
      const file = join(dir, `${part}.pdf`);
      await writeFile(file, await page.pdf({ format: 'A4', margin: { top: '12mm', bottom: '12mm', left: '14mm', right: '14mm' }, printBackground: true }));
      const text = execFileSync('pdftotext', ['-layout', file, '-'], { encoding: 'utf8' });
      assert.match(text, shows);
      assert.doesNotMatch(text, /Rounds|Save as|Print$/m, 'nothing of the screen');
      const pages = text.split('\f').length - 1;
      assert.ok(pages >= 1 && pages <= most, `${part}: ${pages} pages`);
      execFileSync('pdftoppm', ['-r', '20', '-gray', '-f', '1', '-l', '1', file, join(dir, part)]);
      const ppm = await readFile(join(dir, pages > 9 ? `${part}-01.pgm` : `${part}-1.pgm`));
      const pixels = ppm.subarray(ppm.indexOf('\n255\n') + 5);
      const white = pixels.filter((v) => v > 240).length / pixels.length;
      assert.ok(white > 0.7, `${part}: ${Math.round(white * 100)} % of the paper is white`);
    }
  } finally {
    await rm(dir, { recursive: true, force: true });
  }
}));

/** Goes to `hash`; in the first frame that shows it `leaves` for another page, or `prints`. Gives the headings there are then, right
 *  after that, and a second later. */
function early(page, hash, { leaves, prints } = {}) {
  return page.evaluate(async ({ hash, leaves, prints }) => {
    const heads = () => [...document.querySelectorAll('main :is(h1, h2)')].map((head) => head.textContent);
    const old = document.querySelector('main h1');
    location.hash = hash;
    await new Promise((done) => {
      const look = () => (document.querySelector('main h1') === old || !document.querySelector('main h1') ? requestAnimationFrame(look) : done());
      requestAnimationFrame(look);
    });
    const first = heads();
    if (leaves) location.hash = leaves;
    if (prints) dispatchEvent(new Event('beforeprint'));
    await new Promise((done) => setTimeout(done));
    const next = heads();
    await new Promise((done) => setTimeout(done, 1000));
    return { first, next, last: heads() };
  }, { hash, leaves, prints });
}

test('what takes long follows its page, is left with it, and is there at once for who prints', () => atBarn(server, { kind: 'desktop' }, async ({ page, faults }) => {
  await page.getByRole('button', { name: 'Load the Alder Lane season' }).click();
  await page.getByText('Alder Lane, an invented season').waitFor({ timeout: 60_000 });
  for (const part of ['weeks', 'needs', 'back', 'report']) {
    await open(page, part, /./);
    const all = await page.locator('main :is(h1, h2)').allInnerTexts();
    await page.evaluate(() => { location.hash = '#/settings'; });
    await title(page, 'Settings').waitFor();
    const { first, last } = await early(page, `#/season/${part}`);
    assert.equal(first.length, 1, `${part} is painted before anything is added up: ${first}`);
    assert.equal(last.length, all.length, `${part}: ${last}`);
    await page.evaluate(() => { location.hash = '#/settings'; });
    await title(page, 'Settings').waitFor();
    const left = await early(page, `#/season/${part}`, { leaves: '#/settings' });
    assert.equal(left.last[0], 'Settings', part);
  }
  const { first, next, last } = await early(page, '#/season/report', { prints: true });
  assert.deepEqual([first.length, next], [1, last], 'who prints has all of it');
  assert.deepEqual(faults, []);
}));

for (const theme of ['Paper', 'Barn', 'Night']) {
  test(`the season's pages can be used by everybody: ${theme}`, () => atBarn(server, { reducedMotion: 'reduce' }, async ({ page, faults }) => {
    await loadSeason(page);
    await visit(page, server.url, '#/settings');
    await button(page, theme).tap();
    const wrong = [];
    for (const part of ['', '/weeks', '/needs', '/back', '/report', '/book']) {
      await page.goto(`${server.url}#/season${part}`);
      await page.locator('h1:visible').first().waitFor();
      await whole(page);
      for (const line of await violations(page)) wrong.push(`${part}: ${line}`);
      for (const line of await smallTargets(page)) wrong.push(`${part}: small: ${line}`);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      if (wide > 0) wrong.push(`${part}: ${wide} px wider than the phone`);
      await shot(page, `${theme.toLowerCase()}-season${part.replace('/', '-')}`);
    }
    assert.deepEqual(wrong, []);
    assert.deepEqual(faults, []);
  }));
}
