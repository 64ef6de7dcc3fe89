// Follicles and ovulation, by taps: a look noted, put right and undone; her season on one line, with what is expected next.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { fits } from './harness/access.mjs';
import { visit } from './harness/browser.mjs';
import { atBarn, bar, button, dayFrom, field, link, loadSeason, said, shows, showing, startByHand, title, toAnimal, undo, within } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { taps } from './harness/taps.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const fit = (page, what) => fits(page, `follicles-${what}`);

async function daysAgo(page, days) {
  await button(page, 'Another day').tap();
  await page.getByLabel('Day', { exact: true }).fill(await dayFrom(page, -days));
}

/** In a long list, by its own search. */
async function find(page, name) {
  await bar(page, 'Animals').tap();
  await page.getByRole('searchbox').fill(name);
  await link(page, new RegExp(`^${name}`)).first().tap();
  await title(page, new RegExp(`^${name}`)).waitFor();
}

test('a look for follicles, put right and undone, and what is expected after ovulation', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ context, page, faults }) => {
  await startByHand(page);
  await toAnimal(page, 'Bel');
  const counted = await taps(context);
  await counted.reset();
  await button(page, 'Seen').tap();
  await button(page, 'Follicles').tap();
  // The cursor is in it.
  await page.keyboard.type('16,5');
  await button(page, 'Ultrasound').tap();
  await fit(page, 'form');
  await button(page, 'Save').tap();
  await said(page, 'Follicles saved.');
  // Seen, Follicles, the size, Ultrasound, Save.
  within('a look noted', await counted.count(), 5);
  await title(page, 'Bel').waitFor();
  await showing(page, /Her season Follicles: 16\.5 mm, ultrasound/i);

  // What cannot be read is said at its field, and nothing is lost.
  await button(page, 'Seen').tap();
  await button(page, 'Follicles').tap();
  assert.equal(await button(page, 'Ultrasound').getAttribute('aria-pressed'), 'true', 'as the last time');
  await field(page, 'Largest follicle').fill('large');
  await field(page, 'How many').fill('7');
  await button(page, 'Left').tap();
  await daysAgo(page, 40);
  await button(page, 'Save').tap();
  await page.getByRole('alert').filter({ hasText: 'Largest follicle: “large”' }).waitFor();
  assert.equal(await field(page, 'How many').inputValue(), '7');
  await field(page, 'Largest follicle').fill('1.1 cm');
  await button(page, 'Save').tap();
  await said(page, 'Follicles saved.');
  await title(page, 'Bel').waitFor();
  const two = await shows(page);
  assert.match(two, /Follicles: 11 mm, 7, left, ultrasound .* Follicles: 16\.5 mm, ultrasound/);
  const picture = page.getByRole('img', { name: /^Her season on one line: Follicles, Follicles\. The list below says when\.$/ });
  await picture.waitFor();
  assert.match(await picture.textContent(), /11 mm/);

  await link(page, /^Correct: Follicles: 11 mm/).tap();
  await field(page, 'Largest follicle').fill('12');
  await fit(page, 'correct');
  await button(page, 'Save').tap();
  await said(page, 'Corrected.');
  await title(page, 'Bel').waitFor();
  await showing(page, /Follicles: 12 mm, 7, left, ultrasound/);
  await undo(page, two);

  await button(page, 'Seen').tap();
  await daysAgo(page, 3);
  await button(page, 'Ovulation').tap();
  await said(page, 'Ovulation saved.');
  await title(page, 'Bel').waitFor();
  await showing(page, /Pre-lay shed likely .* after her ovulation: common practice, no source Eggs likely .* after her ovulation: common practice, no source/);
  await page.getByRole('img', { name: /Ovulation.*; expected: Pre-lay shed, Laid/ }).waitFor();
  await fit(page, 'animal');
  assert.deepEqual(faults, []);
}));

test('own seasons foretell ovulation; the line is read in the dark too', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ page, faults }) => {
  await loadSeason(page);
  await find(page, 'Wilhelmina');
  await showing(page, /Her season .*Introduced .* Lock seen .* Follicles: 16\.6 mm, ultrasound .* Ovulation likely .* after follicles of that size, from 4 seasons of yours: still an experiment Eggs likely .* after the lock seen/i);
  await page.getByText('How long it took before').tap();
  await page.getByText(/^Largest follicle to ovulation: your others \d+ to \d+ days \(4\)$/).waitFor();
  await fit(page, 'learned');
  const here = await page.evaluate(() => location.hash);
  await find(page, 'Magpie');
  await showing(page, /Follicles: 21\.\d mm.* Follicles: 3\d\.\d mm.* Ovulation .* Pre-lay shed .* Laid/);
  await fit(page, 'whole');
  await visit(page, server.url, '#/settings');
  await button(page, 'Night').tap();
  await visit(page, server.url, here);
  await title(page, /^Wilhelmina/).waitFor();
  await fit(page, 'night');
  await find(page, 'Magpie');
  await fit(page, 'whole-night');
  assert.deepEqual(faults, []);
}));
