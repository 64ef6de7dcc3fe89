// The grown animals' year, by taps: paired, gravid, laid, measured; many at once; what two phones did to one thing.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { fits } from './harness/access.mjs';
import { visit } from './harness/browser.mjs';
import { atBarn, bar, button, dayFrom, field, link, loadSeason, pick, said, shows, showing, startByHand, title, toAnimal, undo, within } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { taps } from './harness/taps.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

/** Chooses a day so many days ago in the field that asks when. */
async function daysAgo(page, days) {
  await button(page, 'Another day').tap();
  await page.getByLabel('Day', { exact: true }).fill(await dayFrom(page, -days));
}

/** As on the label of a record: its id and Crockford's check symbol, the number modulo 37. */
function labelCode(id) {
  const symbols = '0123456789ABCDEFGHJKMNPQRSTVWXYZ*~$=U';
  const value = [...id].reduce((sum, letter) => sum * 32n + BigInt(symbols.indexOf(letter)), 0n);
  return `${id.slice(0, 4)}-${id.slice(4)}-${symbols[Number(value % 37n)]}`;
}

const fit = (page, what) => fits(page, `year-${what}`);

test('from the pairing to the eggs in their box', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ context, page, faults }) => {
  await startByHand(page);
  await toAnimal(page, 'Bel');
  const counted = await taps(context);
  await counted.reset();
  await link(page, 'Pair').first().tap();
  await button(page, 'Moss').tap();
  await daysAgo(page, 40);
  await fit(page, 'pairing-new');
  await button(page, 'Save').tap();
  await title(page, 'Bel × Moss').waitFor();
  // Without another day: Pair, Moss, Save.
  within('a pairing noted', await counted.count() - 2, 3);

  const note = async (days, name, confirmed) => {
    await daysAgo(page, days);
    await button(page, name).tap();
    await said(page, confirmed);
  };
  await note(38, 'Lock seen', 'Lock saved.');
  await showing(page, /Eggs likely .* after the lock seen, common practice|eggs likely, after the lock seen/i);
  await note(30, 'Separate', 'Separated: saved.');
  await note(45, 'Lock seen', 'cannot come before the introduction');
  await note(24, 'Ovulation', 'Ovulation saved.');
  await page.getByText('eggs likely, after her ovulation, common practice').waitFor();
  const gravid = await shows(page);
  await note(9, 'Pre-lay shed', 'Pre-lay shed saved.');
  await page.getByText('eggs likely, after her pre-lay shed, common practice').waitFor();
  await fit(page, 'pairing');
  await undo(page, gravid);
  await note(9, 'Pre-lay shed', 'Pre-lay shed saved.');

  await bar(page, 'Rounds').tap();
  await button(page, 'Lay box in: Bel').tap();
  await said(page, 'Lay box in: saved.');
  await page.getByText(/Look in the lay box: eggs likely/).waitFor();
  // Of a clutch that is pulled now she is the likely dam.
  await bar(page, 'Boxes').tap();
  await link(page, 'Pull a clutch').first().tap();
  await page.getByText(/^Chosen because her eggs are due/).waitFor();
  assert.match(await pick(page, 'Dam').evaluate((field) => field.selectedOptions[0].textContent), /^Bel/);
  await pick(page, 'Dam').selectOption({ index: 0 });
  await page.getByText(/^Chosen because her eggs are due/).waitFor({ state: 'detached' });
  await link(page, '‹ Rounds').tap();
  await link(page, 'Eggs found: Bel').tap();
  await button(page, 'Eggs found now').tap();
  await said(page, 'Eggs found: saved.');
  await showing(page, /Bel × Moss/, 'her clutch knows its sire');
  await link(page, /pull/i).first().tap();
  await field(page, /^Good$/).fill('6');
  await button(page, 'Save, then label').tap();
  await title(page, 'Label').waitFor();
  await visit(page, server.url, '#/pairings');
  await link(page, /^Bel × Moss/).waitFor();
  await showing(page, /Bel × Moss \S+, laid /);
  await fit(page, 'pairings');
  assert.deepEqual(faults, []);
}));

test('several at once: a rack fed, two weighed, and it stands on each', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ context, page, faults }) => {
  await loadSeason(page);
  const counted = await taps(context);
  await counted.reset();
  await bar(page, 'Animals').tap();
  await link(page, 'Several at once').tap();
  await pick(page, 'Kept in').selectOption({ label: 'Long room, Rack A' });
  const rack = Number((await button(page, /^Tick all/).innerText()).match(/\d+/)[0]);
  assert.ok(rack > 10 && rack <= 24, `${rack} kept in a rack of 24 tubs`);
  await button(page, /^Tick all/).tap();
  await button(page, 'Meal').tap();
  await button(page, 'Save').tap();
  await said(page, `Saved for ${rack} animals.`);
  within('a rack fed from the animals\' list', await counted.count(), 7);

  await pick(page, 'Kept in').selectOption({ index: 0 });
  for (const name of ['Bel', 'Moss']) await page.getByRole('checkbox', { name: new RegExp(`^${name} `) }).check();
  await fit(page, 'many');
  await button(page, 'Weigh').tap();
  await field(page, 'Bel').fill('1040');
  await field(page, 'Moss').fill('heavy');
  await button(page, 'Save').tap();
  await page.getByRole('alert').filter({ hasText: 'Moss: weight: “heavy” is not a weight.' }).waitFor();
  await field(page, 'Moss').fill('851');
  await fit(page, 'many-weigh');
  await button(page, 'Save').tap();
  await said(page, 'Saved for 2 animals.');
  await toAnimal(page, 'Moss');
  const moss = await shows(page);
  assert.match(moss, /851 g/);
  assert.match(moss, /Last meals Ate today/i);
  assert.deepEqual(faults, []);
}));

test('at a glance, corrected, and a swap put right', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ page, faults }) => {
  await loadSeason(page);
  await toAnimal(page, 'Bel');
  const glance = await shows(page);
  for (const part of [/Her season/i, /Laid/, /Ready to pair again/, /1 clutch: 13 eggs, 1 slug/, /7 hatched/, /Last shed/i]) assert.match(glance, part);
  await page.getByRole('img', { name: /g to .* g/ }).waitFor();
  await page.getByText('Weights as a table').tap();
  await page.getByRole('cell', { name: '1012 g' }).waitFor();
  await fit(page, 'animal');

  await link(page, /^Correct: 1012 g/).tap();
  await field(page, 'Weight').fill('1022');
  await fit(page, 'correct');
  await button(page, 'Save').tap();
  await said(page, 'Corrected.');
  await title(page, 'Bel').waitFor();
  await showing(page, /Weight 1022 g/i);

  await link(page, 'Swapped').tap();
  await pick(page, 'Swapped with').selectOption({ label: 'Bryony · EK3 · eastern kingsnake' });
  await daysAgo(page, 14);
  await fit(page, 'swap');
  await button(page, 'Save').tap();
  await said(page, 'Put right.');
  await title(page, 'Bel').waitFor();
  assert.doesNotMatch(await shows(page), /1022 g/, 'what was noted of her since then was the other');
  await toAnimal(page, 'Bryony');
  await showing(page, /1022 g/);
  assert.deepEqual(faults, []);
}));

test('a clutch measured, beside her others', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ page, faults }) => {
  await loadSeason(page);
  await toAnimal(page, 'Marigold');
  await link(page, /-17/).first().tap();
  await page.getByText('Her others').waitFor();
  const before = await shows(page);
  for (const part of [/of gravid dam \d+ %/, /of spent dam \d+ %/, /Egg volume [\d.]+ cm³/]) assert.match(before, part);
  await link(page, 'Measure eggs').tap();
  await field(page, 'Egg C: length').fill('20');
  await field(page, 'Egg C: width').fill('33');
  await button(page, 'Save').tap();
  await page.getByRole('alert').filter({ hasText: 'Egg C: width: this is more than the length.' }).waitFor();
  await field(page, 'Egg C: length').fill('33.2');
  await field(page, 'Egg C: width').fill('19.8');
  await fit(page, 'measure');
  await button(page, 'Save').tap();
  await said(page, 'Measures saved.');
  await page.getByText('Size from 3 eggs').waitFor();
  await fit(page, 'clutch');
  await link(page, 'Edit clutch').tap();
  await field(page, 'Whole clutch g').fill('120');
  await fit(page, 'clutch-edit');
  await button(page, 'Save').tap();
  await said(page, 'Clutch saved.');
  await showing(page, /Clutch mass 120 g/);
  assert.deepEqual(faults, []);
}));

test('a rack with its tubs in one act, what is free, and a tub scanned and then its place', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ page, faults }) => {
  await startByHand(page);
  await visit(page, server.url, '#/place/new');
  await button(page, 'Rack').tap();
  await field(page, 'Tubs are called').fill('R');
  await field(page, 'Tubs in it').fill('12');
  await button(page, 'Save').tap();
  await title(page, /Rack/).waitFor();
  await visit(page, server.url, '#/where');
  await page.getByText('12 free').first().waitFor();
  await fit(page, 'where');
  await link(page, /^R7/).tap();
  await title(page, /R7/).waitFor();
  const code = () => labelCode(new URL(page.url()).hash.split('/')[2]);
  const scan = async (typed) => {
    await bar(page, 'Scan').tap();
    await field(page, /code under the square/).fill(typed);
    await page.keyboard.press('Enter');
  };
  const tub = code();
  await toAnimal(page, 'Bel');
  const bel = code();
  await scan(bel);
  await title(page, 'Bel').waitFor();
  await scan(tub);
  await button(page, 'Bring Bel here').tap();
  await said(page, /Bel: moved to .*R7/);
  await title(page, 'Bel').waitFor();
  // Or told beforehand: the next place scanned takes him.
  await toAnimal(page, 'Moss');
  await button(page, 'Move').tap();
  await button(page, 'Scan the place').tap();
  await field(page, /code under the square/).fill(tub);
  await page.keyboard.press('Enter');
  // Bel is in that tub: it is asked about.
  await button(page, 'Save anyway').tap();
  await said(page, /Moss: moved to .*R7/);
  await visit(page, server.url, '#/where');
  await page.getByText('11 free').first().waitFor();
  await showing(page, /R7 \S+ (and 1 more|\+1)/);
  assert.deepEqual(faults, []);
}));
