// From an empty first page: the invented season comes and goes, or a keeper starts with their own animals.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { shot } from './harness/browser.mjs';
import { addIncubator, again, atBarn, bar, button, link, loadSeason, pullClutch, said, showing, shows, startByHand, title, toAnimal, toBox, whole } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

test('an empty barn offers the first acts and the season', () => atBarn(server, {}, async ({ page, faults }) => {
  await title(page, 'Rounds').waitFor();
  for (const name of ['Add an animal', 'Add an incubator', 'Pull a clutch']) await link(page, name).waitFor();
  await button(page, 'Load the Alder Lane season').waitFor();
  await shot(page, 'empty');
  assert.deepEqual(faults, []);
}));

test('the season loads, stays over a reload, and leaves nothing behind', () => atBarn(server, {}, async ({ page, faults }) => {
  const databases = () => page.evaluate(async () => (await indexedDB.databases()).map(({ name }) => name).sort());
  await button(page, 'Load the Alder Lane season').waitFor();
  const empty = await shows(page);
  const stored = await databases();
  await loadSeason(page);
  await shot(page, 'rounds');
  await showing(page, /Now .* Today/i, 'something is due in it');
  await again(page, 'Rounds');
  await page.getByText('Alder Lane, an invented season').waitFor();
  await button(page, 'Remove it').tap();
  await button(page, 'Load the Alder Lane season').waitFor();
  assert.equal(await shows(page), empty);
  assert.deepEqual(await databases(), stored);
  assert.deepEqual(faults, []);
}));

test('the keeper\'s own records are not mixed with the season', () => atBarn(server, {}, async ({ page }) => {
  await addIncubator(page);
  // The season can be loaded only from an empty first page: with records of one's own the button is gone.
  await bar(page, 'Rounds').tap();
  await title(page, 'Rounds').waitFor();
  assert.equal(await button(page, 'Load the Alder Lane season').count(), 0);
}));

test('by hand: a female, a male, an incubator with shelves, and they are there after a reload', () => atBarn(server, {}, async ({ page, faults }) => {
  await startByHand(page);
  await again(page, 'Incubator A');
  const incubator = await shows(page);
  for (const shelf of ['Shelf 1', 'Shelf 2', 'Shelf 3', 'Shelf 4']) assert.ok(incubator.includes(shelf), incubator);
  assert.ok(incubator.includes('27.8 °C'), incubator);
  for (const [name, sex] of [['Bel', 'female'], ['Moss', 'male']]) {
    await toAnimal(page, name);
    await showing(page, new RegExp(`\\b${sex}\\b`));
  }
  await shot(page, 'animal');
  await pullClutch(page);
  await said(page, 'saved in its box');
  assert.deepEqual(faults, []);
}));

test('the barn sheet says what stands where, and is clean on paper', () => atBarn(server, {}, async ({ page, faults }) => {
  await startByHand(page);
  await pullClutch(page);
  await toBox(page);
  await bar(page, 'More').tap();
  await link(page, /^What is where/).tap();
  await link(page, 'On paper').tap();
  await title(page, 'Barn sheet').waitFor();
  await whole(page);
  await page.getByText(/^as of \w{3} \d+ \w{3} \d{4}, \d\d:\d\d$/).waitFor();
  const sheet = await shows(page);
  assert.match(sheet, /Shelf 1 \d+-\d+ · \w+ · 6 eggs · look from \w{3} \d+ \w{3}( \d{4})? · fill to 1486 g/);
  assert.match(sheet, /In no known place.*Bel · B07.*Moss · M02/i);
  await page.emulateMedia({ media: 'print' });
  for (const gone of [page.getByRole('navigation', { name: 'Pages' }), button(page, 'Print'), page.locator('a.back')]) assert.equal(await gone.isVisible(), false);
  await title(page, 'Barn sheet').waitFor();
  assert.deepEqual(faults, []);
}));
