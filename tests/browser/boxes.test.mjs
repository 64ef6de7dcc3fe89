// At the box: candle, check water, pipped, out. Every act within its taps, undone whole, and there after a reload.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { shot } from './harness/browser.mjs';
import { again, atBarn, bar, button, egg, field, link, loadSeason, pullClutch, said, shows, showing, startByHand, title, toBox, undo, within } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { taps } from './harness/taps.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

/** A box of six eggs, its page open; `heading` is its title, `hand` counts from here. */
const atBox = (act) => atBarn(server, {}, async (open) => {
  const { page, context, faults } = open;
  // One minute for the whole story: what is saved twice reads the same.
  await page.clock.setFixedTime(new Date());
  await startByHand(page);
  await pullClutch(page);
  await toBox(page);
  const heading = await page.getByRole('heading', { level: 1 }).innerText();
  await act({ page, heading, hand: await taps(context) });
  assert.deepEqual(faults, []);
});

/** `act` saves and says so; the page then differs, stands over a reload, and *Undo* brings back what it was. */
async function savedAndUndone({ page, heading }, act) {
  const before = await shows(page);
  await act();
  await title(page, heading).waitFor();
  const after = await shows(page);
  assert.notEqual(after, before, 'the box page tells of the act');
  await undo(page, before);
  await again(page, heading);
  assert.equal(await shows(page), before, 'the undoing is stored too');
  await act();
  await title(page, heading).waitFor();
  await again(page, heading);
  assert.equal(await shows(page), after, 'the act is stored');
}

/** Egg A shows veins: the first candling of a box has to see something. */
async function candleFirst(page, heading) {
  await link(page, 'Candle').tap();
  await egg(page, 'A').tap();
  await button(page, 'veins').tap();
  await button(page, 'Save: 1 egg changed').tap();
  await said(page, 'Candled: one egg changed.');
  if (heading) await title(page, heading).waitFor();
}

test('candle: a first candling with nothing to tell yet is kept as that, every egg unsure', () => atBox((at) => savedAndUndone(at, async () => {
  const { page, hand, heading } = at;
  await hand.reset();
  await link(page, 'Candle').tap();
  await button(page, 'Save: all unsure').tap();
  await said(page, 'Candled: all unsure.');
  within('candle-all-unsure', await hand.count(), 2);
  await title(page, heading).waitFor();
  await page.getByRole('button', { name: 'Egg F, unsure' }).waitFor();
})));

test('candle: nothing changed', () => atBox(async (at) => {
  const { page, hand, heading } = at;
  await candleFirst(page, heading);
  await savedAndUndone(at, async () => {
    await hand.reset();
    await link(page, 'Candle').tap();
    await button(page, 'Save: as last time').tap();
    await said(page, 'Candled: all as last time.');
    within('candle-unchanged', await hand.count(), 2);
  });
}));

test('candle: three eggs changed', () => atBox(async (at) => {
  const { page, hand } = at;
  await savedAndUndone(at, async () => {
    await hand.reset();
    await link(page, 'Candle').tap();
    for (const [letter, seen] of [['A', 'veins'], ['C', 'clear'], ['F', 'mouldy']]) {
      await egg(page, letter).tap();
      await button(page, seen).tap();
      await page.getByRole('button', { name: `Egg ${letter}, ${seen}` }).waitFor();
    }
    await button(page, 'Save: 3 eggs changed').tap();
    await said(page, 'Candled: 3 eggs changed.');
    within('candle-3-changed', await hand.count(), 2 + 2 * 3);
  });
  await showing(page, /1 veins/);
  await page.getByRole('button', { name: 'Egg C, clear' }).waitFor();
  await link(page, 'Candle').tap();
  await page.getByRole('button', { name: 'Egg F, mouldy' }).waitFor();
  await shot(page, 'candle');
}));

test('check water: it says what to fill to and what to add', () => atBox(async (at) => {
  const { page, hand } = at;
  await savedAndUndone(at, async () => {
    await hand.reset();
    await link(page, 'Water').tap();
    await page.getByText('1486 g').waitFor();
    // The field has the cursor already: a keeper types the digits at once.
    await page.waitForFunction(() => document.activeElement?.matches('input'));
    await page.keyboard.type('1470');
    await page.getByRole('status').filter({ hasText: 'Add 16 g' }).waitFor();
    await button(page, 'Save').tap();
    await said(page, 'Saved: 1470 g, 16 g water added.');
    within('water', await hand.count(), 3);
  });
  await showing(page, /1470 g.*16 g added/);
  await link(page, 'Water').tap();
  await shot(page, 'water');
}));

test('check water: a reading that is no number, and one that is missing, are told in words', () => atBox(async ({ page }) => {
  await link(page, 'Water').tap();
  await button(page, 'Save').tap();
  await page.getByRole('alert').filter({ hasText: 'The scale says: type a weight' }).waitFor();
  await field(page, 'The scale says').fill('15oo');
  await page.getByRole('alert').filter({ hasText: 'The scale says: “15oo” is not a weight.' }).waitFor();
}));

test('pipped, then out', () => atBox(async ({ page, heading, hand }) => {
  const before = await shows(page);
  await hand.reset();
  await link(page, 'Pipped').tap();
  await egg(page, 'B').tap();
  // The clutch is a day old: an early pip is asked about once, and that tap is not an everyday one.
  const asked = page.getByRole('alertdialog');
  await Promise.race([asked.waitFor(), said(page, 'Egg B pipped: saved.')]);
  const early = await asked.isVisible();
  if (early) await button(page, 'Save anyway').tap();
  await said(page, 'Egg B pipped: saved.');
  within('pipped', (await hand.count()) - (early ? 1 : 0), 2);
  await link(page, 'Done').tap();
  await title(page, heading).waitFor();
  await showing(page, /1 pipped/);
  await undo(page, before);
}));

test('pipped: eggs keep their places, so that two taps on one spot tell of one egg', () => atBox(async ({ page, heading }) => {
  await link(page, 'Pipped').tap();
  await title(page, 'Pipped').waitFor();
  const { x, y, width, height } = await egg(page, 'B').locator('.shell').boundingBox();
  const spot = () => page.touchscreen.tap(x + width / 2, y + height / 2);
  await spot();
  const asked = page.getByRole('alertdialog');
  await Promise.race([asked.waitFor(), said(page, 'Egg B pipped: saved.')]);
  if (await asked.isVisible()) await button(page, 'Save anyway').tap();
  await said(page, 'Egg B pipped: saved.');
  await page.getByRole('img', { name: /^Egg B,/ }).waitFor();
  await spot();
  await egg(page, 'C').waitFor();
  await link(page, 'Done').tap();
  await title(page, heading).waitFor();
  await showing(page, /1 pipped/);
}));

test('a question goes with its page', () => atBox(async ({ page, heading }) => {
  await link(page, 'Pipped').tap();
  // The clutch is a day old: that is asked about.
  await egg(page, 'B').tap();
  await page.getByRole('alertdialog').waitFor();
  await page.goBack();
  await title(page, heading).waitFor();
  await page.getByRole('alertdialog').waitFor({ state: 'detached' });
  assert.doesNotMatch(await shows(page), /1 pipped/);
}));

test('in the season: the next pip and the baby that is out, within their taps, and undone', () => atBarn(server, {}, async ({ context, page, faults }) => {
  await loadSeason(page);
  // At once, with no look at what is still being drawn: that is how a keeper taps.
  await page.getByRole('link', { name: /^Check: / }).first().tap();
  await title(page, 'Out').waitFor();
  await page.locator('a.back').tap();
  await link(page, 'Out').waitFor();
  const heading = await page.getByRole('heading', { level: 1 }).innerText();
  const hand = await taps(context);
  for (const [act, sentence] of [['Pipped', /Egg \w+ pipped: saved\./], ['Out', /Egg \w+ out: saved\./]]) {
    const before = await shows(page);
    await hand.reset();
    await link(page, act).tap();
    await title(page, act).waitFor();
    await page.getByRole('button', { name: /^Egg / }).first().tap();
    await said(page, sentence);
    within(act.toLowerCase(), await hand.count(), 2);
    await link(page, 'Done').tap();
    await title(page, heading).waitFor();
    const after = await shows(page);
    assert.notEqual(after, before);
    await undo(page, before);
    await again(page, heading);
    assert.equal(await shows(page), before);
  }
  assert.deepEqual(faults, []);
}));

test('Rounds is the first page; a row leads to its act, is gone when that is done, and back when it is undone', () => atBarn(server, {}, async ({ context, page, faults }) => {
  await loadSeason(page);
  const hand = await taps(context);
  await again(page, 'Rounds');
  await showing(page, /Now .* Today/i);
  within('due-today', await hand.count(), 0);
  const row = page.getByRole('link', { name: /^Candle: / }).first();
  const name = await row.getAttribute('aria-label');
  await row.tap();
  await title(page, 'Candle').waitFor();
  await page.getByRole('button', { name: /^Egg / }).first().tap();
  await button(page, 'veins').tap();
  await button(page, /^Save: \d/).tap();
  await said(page, /^Candled: /);
  await bar(page, 'Rounds').tap();
  await title(page, 'Rounds').waitFor();
  assert.equal(await link(page, name).count(), 0, `${name} is done`);
  await button(page, 'Undo').tap();
  await said(page, 'Undone.');
  await link(page, name).waitFor();
  assert.deepEqual(faults, []);
}));

test('a finger that is down while the page looks for what another tab wrote still taps', () => atBarn(server, {}, async ({ context, page, faults }) => {
  await loadSeason(page);
  const row = page.getByRole('link', { name: /^Check: / }).first();
  const { x, y, width, height } = await row.boundingBox();
  const finger = await context.newCDPSession(page);
  await finger.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [{ x: x + width / 2, y: y + height / 2 }] });
  await page.evaluate(async () => {
    for (let look = 0; look < 3; look += 1) {
      window.dispatchEvent(new Event('pageshow'));
      document.dispatchEvent(new Event('visibilitychange'));
      await new Promise((then) => setTimeout(then, 60));
    }
  });
  await finger.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
  await title(page, 'Out').waitFor();
  assert.deepEqual(faults, []);
}));

test('nothing due is said', () => atBarn(server, {}, async ({ page }) => {
  await startByHand(page);
  await bar(page, 'Rounds').tap();
  await page.getByText('Nothing due.').waitFor();
}));

test('search finds an animal, a clutch and a box by name, code and label code', () => atBarn(server, {}, async ({ page, faults }) => {
  await startByHand(page);
  await pullClutch(page);
  await toBox(page);
  const number = await page.getByRole('heading', { level: 1 }).innerText();
  const code = (await shows(page)).match(/[0-9A-Z]{4}-[0-9A-Z]{4}-\S/)[0];
  for (const [typed, found] of [['bel', /^Bel/], ['B07', /^Bel/], [number.split(' ')[0], new RegExp(`^${number.split(' ')[0]}`)], [code, new RegExp(`^${number.split(' ')[0]}`)]]) {
    await bar(page, 'Rounds').tap();
    await page.getByRole('searchbox', { name: 'Find an animal, clutch or box' }).fill(typed);
    await link(page, found).first().tap();
    await title(page, found).waitFor();
  }
  await bar(page, 'Rounds').tap();
  await page.getByRole('searchbox').fill('zzz');
  await page.getByText('Nothing here is called “zzz”').waitFor();
  assert.deepEqual(faults, []);
}));
