// On paper: what goes with an animal says its years and who bred it, and any page prints without what is tapped or typed in.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { violations } from './harness/access.mjs';
import { reload, seat, shot, visit } from './harness/browser.mjs';
import { atBarn, field, loadSeason, shows, title, toAnimal } from './harness/keeper.mjs';
import { onPaper, pdfTexts } from './harness/readers.mjs';
import { site } from './harness/site.mjs';
import { inside } from './monkey/inside.mjs';
import { BASE, PAGES } from './monkey/monkey.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

async function go(page, to, name) {
  await page.evaluate((to) => { location.hash = to; }, to);
  await title(page, name).waitFor();
}

test('the papers of an animal say who bred it, when they were issued, and the year of every date', () => atBarn(server, {}, async ({ page, faults }) => {
  await loadSeason(page);
  await toAnimal(page, 'Moss');
  const papers = `${await page.evaluate(() => location.hash)}/papers`;
  await go(page, papers, 'Moss');
  await page.getByText('set them in Settings').waitFor();
  await go(page, '#/settings', 'Settings');
  await field(page, 'Breeder').fill('Alder Lane, 01632 960 000');
  await reload(page);
  await go(page, papers, 'Moss');
  await page.getByText(/Salmonella/).first().waitFor();
  const said = await shows(page);
  assert.match(said, /Bred by Alder Lane, 01632 960 000 Date of issue \d+ \w+ 20\d\d/i);
  assert.doesNotMatch(said, /today|yesterday|ago/i);
  // What is between two days says a month and a year once where both have it.
  const dates = said.replace(/between \d+( \w+)? and/g, '').match(/\b\d{1,2} (Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)\b( 20\d\d)?/g);
  assert.ok(dates.length > 5, `${dates.length} dates`);
  assert.deepEqual(dates.filter((date) => !/20\d\d$/.test(date)), []);
  assert.deepEqual(await violations(page), []);
  await shot(page, 'papers', { fullPage: true });
  assert.deepEqual(faults, []);
}));

/** Between the margins of A4 paper, CSS pixels. */
const PAPER = { width: 703, height: 1000 };

/** Runs in the page, in print: what is only for a finger, or to be typed in, and still in sight. */
function tapped() {
  const seen = (part) => part.checkVisibility({ visibilityProperty: true }) && part.getClientRects().length > 0;
  return [...document.querySelectorAll('button, input, select, textarea, nav, video, .act, .bar, .side, .panes > .list, .toast, .asked')]
    .filter((part) => seen(part) && !part.closest('.tray'))
    .map((part) => `${part.tagName} ${part.className} ${part.getAttribute('aria-label') ?? part.textContent.trim().slice(0, 30)}`);
}

/** Runs in the page, in print: what goes past the right edge, or is cut off by what it stands in. */
function cut() {
  const clips = (part) => getComputedStyle(part).overflowX !== 'visible' && part.scrollWidth > part.clientWidth + 1;
  return [...document.querySelectorAll('main *')]
    .filter((part) => part.checkVisibility() && !part.closest('.unseen, .skip') && !part.ownerSVGElement)
    .filter((part) => part.getBoundingClientRect().width > 0 && (part.getBoundingClientRect().right > innerWidth + 1 || clips(part)))
    .map((part) => `${part.tagName} ${part.className.baseVal ?? part.className} ${part.textContent.trim().slice(0, 40)}`);
}

test('every page prints without what is tapped or typed in, and whole to its right edge', { timeout: 600_000 }, async () => {
  const open = await seat({ kind: 'desktop', hasTouch: true });
  const { page, faults } = open;
  const desk = page.viewportSize();
  try {
    await open.context.addInitScript(inside, { seed: 1, base: BASE });
    await visit(page, server.url);
    await loadSeason(page);
    const ids = await page.evaluate(() => window.monkey.ids());
    await page.emulateMedia({ media: 'print' });
    const still = () => page.evaluate(() => window.monkey.still());
    const wrong = [];
    let walked = 0;
    for (const [, address] of PAGES) {
      if ([...address.matchAll(/\{(\w+)\}/g)].some(([, kind]) => !ids[kind]?.length)) continue;
      const to = address.replace(/\{(\w+)\}/g, (_, kind) => ids[kind][Math.floor(ids[kind].length / 2)]);
      await page.evaluate((to) => { location.hash = to; }, to);
      await still();
      walked += 1;
      if ((await shows(page)).length < 4) wrong.push(`${to} says nothing`);
      wrong.push(...(await page.evaluate(tapped)).map((part) => `${to} on a desk: ${part}`));
      await page.setViewportSize(PAPER);
      await still();
      wrong.push(...(await page.evaluate(tapped)).map((part) => `${to}: ${part}`));
      wrong.push(...(await page.evaluate(cut)).map((part) => `${to} is cut: ${part}`));
      await page.setViewportSize(desk);
    }
    console.log(`${walked} pages`);
    assert.ok(walked > 120, `${walked} pages`);
    assert.deepEqual(wrong, []);
    assert.deepEqual(faults, []);
  } finally {
    await open.close();
  }
});

test('on each sheet stands which it is, of how many, and as of when', () => atBarn(server, { kind: 'desktop', hasTouch: true }, async ({ page, faults }) => {
  await loadSeason(page);
  for (const [to, name, foot] of [
    ['#/where/sheet', 'Barn sheet', /Barn sheet, as of \w{3} \d+ \w{3} \d{4}, \d\d:\d\d/], ['#/season/report', 'Report', /Report of the season, .*\d{4}/],
    ['#/season/book', 'Barn book', /Barn book of the year, .*\d{4}/], ['#/animals', 'Animals', /^/]]) {
    await page.evaluate((to) => { location.hash = to; }, to);
    await page.locator('main h1', { hasText: name }).waitFor();
    const sheets = await onPaper(page, pdfTexts);
    assert.ok(sheets.length > (to === '#/season/report' ? 1 : 0), `${name}: ${sheets.length}`);
    for (const [at, text] of sheets.entries()) {
      const last = text.trimEnd().split('\n').at(-1);
      assert.match(last, foot, name);
      // How wide a blank is, poppler guesses.
      assert.match(last, new RegExp(`\\b${at + 1} ?/ ?${sheets.length}$`), name);
    }
  }
  assert.deepEqual(faults, []);
}));
