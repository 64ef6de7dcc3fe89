// Tubs cleaned, by taps: a rack at once, but for some; due by the keeper's own rule, put off; one tub, put right.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { fits } from './harness/access.mjs';
import { atBarn, bar, button, field, link, loadSeason, said, shows, startByHand, title, toAnimal, undo, within } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { taps } from './harness/taps.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const fit = (page, what) => fits(page, `cleaning-${what}`);
const still = { reducedMotion: 'reduce' };

test('a rack is cleaned in one tap, and what was not is taken out', () => atBarn(server, still, async ({ context, page, faults }) => {
  await loadSeason(page);
  const due = page.getByText(/^1 tub to clean, the first due /);
  await due.waitFor();
  const counted = await taps(context);
  await counted.reset();
  await link(page, /^Clean: .*Rack A$/).tap();
  await title(page, /^Cleaning of .*Rack A$/).waitFor();
  await button(page, /^Cleaned: all \d+$/).tap();
  await said(page, /^\d+ tubs cleaned\. Tap those that were not\.$/);
  // The last time she was in shed, and now she is again: hers stays due.
  const bryony = page.getByRole('button', { name: / · Bryony not cleaned$/ });
  await bryony.tap();
  await said(page, / · Bryony: not cleaned\.$/);
  // To the rack, all of it, one taken out.
  within('a rack cleaned but for one', await counted.count(), 3);
  await page.getByRole('button', { name: / · Bryony not cleaned$/, pressed: true }).waitFor();
  await fit(page, 'rack-after');
  await bar(page, 'Rounds').tap();
  await due.waitFor();

  // On the same day she is done too.
  await link(page, /^Clean: .*Rack A$/).tap();
  await title(page, /^Cleaning of .*Rack A$/).waitFor();
  await bryony.waitFor();
  const before = await shows(page);
  await bryony.tap();
  await said(page, / · Bryony: cleaned\.$/);
  await page.getByRole('button', { name: / · Bryony not cleaned$/, pressed: false }).waitFor();
  await undo(page, before);
  await bryony.tap();
  await said(page, / · Bryony: cleaned\.$/);
  await bar(page, 'Rounds').tap();
  await title(page, 'Rounds').waitFor();
  await due.waitFor({ state: 'detached' });
  assert.deepEqual(faults, []);
}));

test('a rack from its own page, one left out before', () => atBarn(server, still, async ({ page, faults }) => {
  await loadSeason(page);
  await bar(page, 'More').tap();
  await link(page, /^Places/).tap();
  await link(page, /^Rack B/).first().tap();
  await title(page, 'Rack B').waitFor();
  const all = Number((await button(page, /^Cleaned: all \d+$/).innerText()).match(/\d+/)[0]);
  await link(page, 'Tub by tub').tap();
  await title(page, /^Cleaning of .*Rack B$/).waitFor();
  await fit(page, 'rack-before');
  await button(page, /^Leave out /).first().tap();
  await page.getByText('How, when it was not all of it').tap();
  await button(page, 'only what was soiled').tap();
  await button(page, `Cleaned: all ${all - 1}`).tap();
  await said(page, `${all - 1} tubs cleaned. Tap those that were not.`);
  await page.getByText(/^Soiled spots cleaned .*\. Tap those that were not\.$/).waitFor();
  assert.equal(await page.getByRole('button', { name: / not cleaned$/, pressed: true }).count(), 1);
  assert.deepEqual(faults, []);
}));

test('how often is the keeper\'s own rule; a tub is put off, cleaned, and put right', () => atBarn(server, still, async ({ page, faults }) => {
  await startByHand(page);
  await bar(page, 'Rounds').tap();
  await page.getByText(/tub to clean/).waitFor({ state: 'detached' });
  await bar(page, 'More').tap();
  await link(page, /^Treatments and quarantine/).tap();
  await page.getByText('No rule is set, so Rounds does not ask.').waitFor();
  await page.getByText('Set how often').tap();
  await field(page, 'Days between cleanings').fill('weekly');
  await button(page, 'Save').tap();
  await page.getByText('Days between cleanings: “weekly” is not a whole number.').first().waitFor();
  assert.equal(await field(page, 'Days between cleanings').inputValue(), 'weekly');
  await field(page, 'Days between cleanings').fill('7');
  await button(page, 'Save').tap();
  await said(page, 'Rule saved.');
  await page.getByText('All species: every 7 days').waitFor();
  await fit(page, 'rule');

  // Nothing is noted of either: both are due.
  await bar(page, 'Rounds').tap();
  await link(page, 'Clean: Bel').waitFor();
  await button(page, 'Tomorrow: Bel').tap();
  await said(page, 'Put off until tomorrow.');
  await link(page, 'Clean: Bel').waitFor({ state: 'detached' });
  await link(page, 'Clean: Moss').tap();
  await title(page, 'Cleaning of Moss').waitFor();
  await page.getByText('No cleaning is noted yet.').waitFor();
  await fit(page, 'one');
  const before = await shows(page);
  await button(page, 'Cleaned').tap();
  await said(page, 'Cleaning saved.');
  await undo(page, before);
  await button(page, 'Cleaned').tap();
  await said(page, 'Cleaning saved.');
  await bar(page, 'Rounds').tap();
  await link(page, 'Clean: Moss').waitFor({ state: 'detached' });

  // It was only the soiled spot: the whole is due as before.
  await toAnimal(page, 'Moss');
  await link(page, 'Clean').tap();
  await link(page, /^Correct: all of it/).tap();
  await button(page, 'only what was soiled').tap();
  await button(page, 'Save').tap();
  await said(page, 'Corrected.');
  await bar(page, 'Rounds').tap();
  await link(page, 'Clean: Moss').waitFor();
  assert.deepEqual(faults, []);
}));
