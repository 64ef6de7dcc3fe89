// On paper: what goes with an animal says its years and who bred it, and any page prints without what is tapped or typed in.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { violations } from './harness/access.mjs';
import { shot } from './harness/browser.mjs';
import { atBarn, field, loadSeason, shows, title, toAnimal } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';

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
  await page.getByText('set them once in Settings').waitFor();
  await go(page, '#/settings', 'Settings');
  await field(page, 'Breeder').fill('Alder Lane, 01632 960 000');
  await page.reload();
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

test('any page prints without what is tapped or typed in', () => atBarn(server, {}, async ({ page, faults }) => {
  await loadSeason(page);
  await toAnimal(page, 'Bel');
  const animal = await page.evaluate(() => location.hash);
  await page.emulateMedia({ media: 'print' });
  const still = {};
  for (const [to, name] of [['#/', 'Rounds'], ['#/boxes', 'Boxes'], ['#/animals', 'Animals'], [animal, 'Bel'], [`${animal}/papers`, 'Bel'],
    ['#/places', 'Places'], ['#/season', 'Season'], ['#/daybook', 'Daybook'], ['#/settings', 'Settings'], ['#/more', 'More']]) {
    await page.evaluate((to) => { location.hash = to; }, to);
    await page.locator('main h1', { hasText: name }).waitFor();
    assert.ok((await shows(page)).length > 40, `${to} says something`);
    const seen = await page.evaluate(() => [...document.querySelectorAll('button, input, select, textarea, .act')]
      .filter((part) => part.checkVisibility() && !part.closest('.tray'))
      .map((part) => `${part.tagName} ${part.className} ${part.getAttribute('aria-label') ?? part.textContent.trim().slice(0, 30)}`));
    if (seen.length > 0) still[to] = seen;
  }
  assert.deepEqual(still, {});
  assert.deepEqual(faults, []);
}));
