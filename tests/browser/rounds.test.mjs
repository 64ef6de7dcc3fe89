// Rounds walked by two people, what was opened last, and a hatching with nothing to say yet.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { smallTargets, violations } from './harness/access.mjs';
import { shot } from './harness/browser.mjs';
import { atBarn, bar, button, egg, link, loadSeason, option, pick, said, showing, title, toAnimal } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

/** Gives a place to somebody, on its page. */
async function lookedAfter(page, place, by) {
  await bar(page, 'Rounds').tap();
  await page.getByRole('searchbox').fill(place);
  // Its own row, not one of Rounds that begins with its name: those stand there until the search answers.
  await link(page, new RegExp(`^${place}(?!,)`)).first().tap();
  await title(page, new RegExp(place)).waitFor();
  const edit = page.locator('details', { hasText: 'Edit this place' });
  await edit.locator('summary').tap();
  await pick(page, 'Looked after by').selectOption({ label: await option(page, 'Looked after by', by) });
  await edit.getByRole('button', { name: 'Save' }).tap();
  await said(page, 'Saved.');
}

test('each walks what is theirs; what is nobody’s is on both rounds', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ page, faults }) => {
  await loadSeason(page);
  await lookedAfter(page, 'North cabinet', 'Tobin');
  await lookedAfter(page, 'Rack C', 'Ines');
  await bar(page, 'Rounds').tap();
  await title(page, 'Rounds').waitFor();
  const places = async () => (await page.locator('main .row.linked .text').allInnerTexts()).join('\n');
  const all = await places();
  for (const place of [/North cabinet/, /Rack B/, /Rack C/]) assert.match(all, place);
  await button(page, /^Tobin.*’s$/).tap();
  await page.waitForFunction((before) => document.querySelectorAll('main .row.linked').length < before, all.split('\n').length);
  assert.match(await places(), /North cabinet/);
  assert.match(await places(), /Rack B/, 'nobody’s in particular, so everybody’s');
  assert.doesNotMatch(await places(), /Rack C/);
  await shot(page, 'rounds-tobin');
  await button(page, /^Ines.*’s$/).tap();
  await page.waitForFunction(() => !document.querySelector('main').innerText.includes('North cabinet'));
  assert.match(await places(), /Rack C/);
  assert.deepEqual([...await violations(page), ...await smallTargets(page)], []);
  await button(page, 'All').tap();
  assert.equal(await places(), all);
  assert.deepEqual(faults, []);
}));

test('what was opened last is two taps away, and by place', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ page, faults }) => {
  await loadSeason(page);
  await toAnimal(page, 'Moss');
  await toAnimal(page, 'Bel');
  await bar(page, 'Rounds').tap();
  await page.getByRole('searchbox').tap();
  await page.getByRole('heading', { name: 'Opened last' }).waitFor();
  await shot(page, 'rounds-recent');
  assert.deepEqual([...await violations(page), ...await smallTargets(page)], []);
  await showing(page, /Opened last Bel .* Moss /i);
  await link(page, /^Moss/).first().tap();
  await title(page, 'Moss').waitFor();
  await bar(page, 'Rounds').tap();
  await page.getByRole('searchbox').tap();
  await link(page, 'What is where').tap();
  await page.getByText(/\d+ free/).first().waitFor();
  assert.deepEqual(faults, []);
}));

test('hatching out is saved once there is something to say, and an egg leads to its own page', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ page, faults }) => {
  await loadSeason(page);
  // A box due for water: its row leads to its page.
  await link(page, /^26-10/).first().tap();
  await link(page, 'Hatch out').first().tap();
  await title(page, 'Hatch out').waitFor();
  const save = page.locator('.acts .main');
  assert.equal(await save.isDisabled(), true);
  await page.locator('main select').first().selectOption({ label: 'removed' });
  assert.equal(await save.isDisabled(), false);
  assert.equal(await save.innerText(), 'Save');
  await shot(page, 'hatch-nothing');
  await page.goBack();
  await link(page, 'Candle').waitFor();
  await egg(page, 'A').first().tap();
  await title(page, /egg A/i).waitFor();
  assert.deepEqual(faults, []);
}));
