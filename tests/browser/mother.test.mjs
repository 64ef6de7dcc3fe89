// Eggs left with their mother, by taps: left uncounted, read where she lies, put right, undone, counted, pipped, and taken
// over into a box; and the season's own, as Rounds, her page, the lists and papers show it.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { fits, violations } from './harness/access.mjs';
import { shot } from './harness/browser.mjs';
import { again, atBarn, bar, button, egg, field, link, loadSeason, option, pick, said, showing, shows, startByHand, title, toAnimal, undo, within } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { taps } from './harness/taps.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const still = { reducedMotion: 'reduce' };
const fit = (page, what) => fits(page, `mother-${what}`);
const tick = (page) => page.getByLabel('Left with her, in no box');

/** A carpet python in a tub of her own, beside the barn that is there. */
async function withBriar(page) {
  await startByHand(page);
  await bar(page, 'More').tap();
  await link(page, /^Places/).tap();
  await link(page, 'Add a place').tap();
  await button(page, 'Tub').tap();
  await field(page, 'Name').fill('Vivarium 1');
  await button(page, 'Save').tap();
  await said(page, 'Vivarium 1 added.');
  await bar(page, 'Animals').tap();
  await link(page, 'Add an animal').first().tap();
  await field(page, 'Name').fill('Briar');
  await button(page, 'Female').tap();
  await pick(page, 'Species').selectOption({ label: await option(page, 'Species', 'carpet python') });
  await pick(page, 'Place').selectOption({ label: await option(page, 'Place', 'Vivarium 1') });
  await button(page, 'Save').tap();
  await title(page, 'Briar').waitFor();
}

/** Left with her, nobody counted them; ends on their page. */
async function leave(page) {
  await toAnimal(page, 'Briar');
  await link(page, 'Eggs found').tap();
  await button(page, 'Eggs found now').tap();
  await said(page, 'Eggs found: saved.');
  await link(page, 'Pull and box it').tap();
  await title(page, 'Pull a clutch').waitFor();
  await tick(page).tap();
  await page.getByText('Leave her in peace.').waitFor();
  // Nothing is lifted.
  await page.getByText('Lift without turning').waitFor({ state: 'detached' });
  await button(page, 'Save').tap();
  await said(page, 'left with the mother.');
}

const stocked = (act) => atBarn(server, still, async (open) => {
  await withBriar(open.page);
  await act(open);
  assert.deepEqual(open.faults, []);
});

test('left with her uncounted; read where she lies, the window narrows; undone, nothing of it stands', () => stocked(async ({ context, page }) => {
  const hand = await taps(context);
  await hand.reset();
  await leave(page);
  // Animals, her name, Eggs found, Eggs found now, Pull and box it, the tick, Save.
  within('left-with-her', await hand.count(), 7);
  await title(page, /with Briar/).waitFor();
  await showing(page, /Nobody has counted these eggs/);
  const wide = await shows(page);
  assert.match(wide, /Nothing was read or set where she lies/);
  assert.match(wide, /often refuses food .* \(common practice, no source\)/);
  assert.doesNotMatch(wide, /Candle|Fill to|Check water|Label|box weight/i, 'nothing of a box');
  await fit(page, 'nest');
  await shot(page, 'mother-nest');
  await field(page, 'Thermometer reading').fill('31');
  await button(page, 'Save reading').tap();
  await said(page, 'Reading saved.');
  await showing(page, /31\.0 °C over/);
  assert.doesNotMatch(await shows(page), /Nothing was read or set/);

  await bar(page, 'Rounds').tap();
  await title(page, 'Rounds').waitFor();
  assert.doesNotMatch(await shows(page), /Box it|Water|candling/i);
  await toAnimal(page, 'Briar');
  await showing(page, /With the mother .*with Briar .*eggs not counted/i);
  assert.doesNotMatch(await shows(page), /not boxed/);
  await fit(page, 'her-page');
  await bar(page, 'Boxes').tap();
  await title(page, /^Boxes/).waitFor();
  await showing(page, /With the mother .*eggs not counted/i);
  await showing(page, /0 in use/);

  await link(page, /^26|^\d\d-/).first().tap();
  await title(page, /with Briar/).waitFor();
  await link(page, 'How it was noted').tap();
  assert.equal(await page.getByLabel('Medium').count(), 0);
  await field(page, 'Note').first().fill('Tight round them.');
  await button(page, 'Save').tap();
  await said(page, 'Saved');
  await title(page, /with Briar/).waitFor();
  await again(page, /with Briar/);
}));

test('leaving them is one act: undone, the clutch waits for a box again', () => stocked(async ({ page }) => {
  await leave(page);
  await title(page, /with Briar/).waitFor();
  await button(page, 'Undo').tap();
  await said(page, 'Undone.');
  await bar(page, 'Rounds').tap();
  await page.getByRole('link', { name: /^Box it/ }).waitFor();
}));

test('counted where they lie, and a pip noted under her', () => stocked(async ({ page }) => {
  await leave(page);
  await title(page, /with Briar/).waitFor();
  await link(page, 'Count or take them').tap();
  await title(page, 'Pull a clutch').waitFor();
  assert.equal(await tick(page).isChecked(), true, 'they stay');
  await field(page, /^Good$/).fill('3');
  await button(page, 'Save').tap();
  await said(page, 'left with the mother.');
  // The clutch, with its sum, and what lies with her below it.
  await showing(page, /3 eggs: 3 still in/);
  await link(page, /with Briar/).tap();
  await title(page, /with Briar/).waitFor();
  await showing(page, /3 in/);
  const before = await shows(page);
  await link(page, 'Pipped').tap();
  await egg(page, 'A').tap();
  // Long before the window: asked once.
  await button(page, /Yes|Save|anyway|right/i).first().tap();
  await said(page, 'Egg A pipped: saved.');
  await link(page, 'Done').tap();
  await showing(page, /A pipped/);
  assert.notEqual(await shows(page), before);
  await fit(page, 'hatching');
}));

test('taken over into a box with the usual set-up', () => stocked(async ({ context, page }) => {
  await leave(page);
  await title(page, /with Briar/).waitFor();
  const hand = await taps(context);
  await hand.reset();
  await link(page, 'Count or take them').tap();
  await title(page, 'Pull a clutch').waitFor();
  await tick(page).tap();
  await field(page, /^Good$/).fill('8');
  await pick(page, 'Shelf').selectOption({ index: 1 });
  await field(page, 'Dry medium').fill('200');
  await field(page, 'Water').fill('200');
  await field(page, 'Box weight, lid on').fill('1900');
  await fit(page, 'take');
  await button(page, 'Save', { exact: true }).first().tap();
  await said(page, 'saved in its box');
  within('taken-into-a-box', await hand.count(), 9);
  await showing(page, /8 in/);
  const box = await shows(page);
  assert.match(box, /Fill to/);
  assert.doesNotMatch(box, /with Briar/);
  await link(page, /^Clutch /).tap();
  await showing(page, /With the mother .*Boxes/i);
  await toAnimal(page, 'Briar');
  assert.doesNotMatch(await shows(page), /eggs not counted/);
}));

test('the season has one: on her page, in the lists, on paper, in the daybook; nothing calls it a box', () => atBarn(server, still, async ({ page, faults }) => {
  await loadSeason(page);
  await toAnimal(page, 'Briar');
  await showing(page, /With the mother .*P1 with Briar .*eggs not counted · likely/i);
  await fit(page, 'season-her');
  await shot(page, 'mother-her');
  await link(page, /P1 with Briar/).first().tap();
  await title(page, /P1 with Briar/).waitFor();
  const nest = await shows(page);
  assert.match(nest, /over \d+ d of readings/);
  assert.doesNotMatch(nest.replace(/in no box/g, ''), /\bbox/i);
  assert.deepEqual(await violations(page), []);
  await fit(page, 'season-nest');
  await shot(page, 'mother-season-nest');
  await link(page, /^Clutch/).tap();
  await showing(page, /With the mother with Briar · Long room, Vivarium 1/i);
  await fit(page, 'season-clutch');
  await page.evaluate(() => { location.hash = '#/where/sheet'; });
  await title(page, 'Barn sheet').waitFor();
  await showing(page, /P1 · CPT with Briar · eggs not counted · look from/);
  await fit(page, 'paper');
  await bar(page, 'More').tap();
  await link(page, /^Daybook/).first().tap();
  await showing(page, /Left with the mother/);
  assert.deepEqual(faults, []);
}));
