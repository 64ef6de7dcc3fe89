// A clutch from the tub to a labelled box, in as few taps as a hand in a glove will bear.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { fits } from './harness/access.mjs';
import { shot } from './harness/browser.mjs';
import { again, atBarn, bar, button, field, link, option, pick, pullClutch, said, shows, showing, startByHand, title, toAnimal, toBox, within } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { taps } from './harness/taps.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const stocked = (act) => atBarn(server, {}, async (open) => {
  await startByHand(open.page);
  await act(open);
  assert.deepEqual(open.faults, []);
});

test('eggs found, from the dam\'s page', () => stocked(async ({ context, page }) => {
  await toAnimal(page, 'Bel');
  const hand = await taps(context);
  await link(page, 'Eggs found').tap();
  await button(page, 'Eggs found now').tap();
  await said(page, 'Eggs found: saved.');
  within('eggs-found', await hand.count(), 2);
  await showing(page, /Found, not pulled yet\./);
  await bar(page, 'Rounds').tap();
  await page.getByRole('link', { name: /^Box it/ }).waitFor();
  await toAnimal(page, 'Bel');
  await showing(page, /not boxed yet/);
}));

test('eggs found can be undone', () => stocked(async ({ page }) => {
  await toAnimal(page, 'Bel');
  const before = await shows(page);
  await link(page, 'Eggs found').tap();
  await button(page, 'Eggs found now').tap();
  await said(page, 'Eggs found: saved.');
  await button(page, 'Undo').tap();
  await said(page, 'Undone.');
  await toAnimal(page, 'Bel');
  // What happened and was undone may be told in her story; nothing waits to be boxed.
  assert.doesNotMatch(await shows(page), /not boxed yet/);
  assert.match(before, /No clutch yet/);
}));

test('a clutch that nobody saw laid counts from the day it was found', () => stocked(async ({ page }) => {
  await toAnimal(page, 'Bel');
  await link(page, 'Eggs found').tap();
  await button(page, 'Eggs found now').tap();
  await link(page, 'Pull and box it').tap();
  await button(page, 'Nobody saw it').tap();
  await page.getByText('What candling shows then tells about when.').waitFor();
  await field(page, /^Good$/).fill('6');
  await field(page, 'Box weight, lid on').fill('1200');
  await fits(page, 'pull-unseen');
  await button(page, 'Save, then label').tap();
  await said(page, 'saved in its box');
  await toBox(page);
  const box = await shows(page);
  assert.match(box, /found \d+ \w+/i);
  assert.doesNotMatch(box, /laid \d/i);
}));

test('a clutch pulled with what is offered, to a label ready to print', () => stocked(async ({ context, page }) => {
  await pullClutch(page);
  await toBox(page);
  // Another female's: a second clutch of Bel's on the same day would be asked about.
  await bar(page, 'Animals').tap();
  await link(page, 'Add an animal').tap();
  await field(page, 'Name').fill('Fern');
  await button(page, 'Female').tap();
  await button(page, 'Save').tap();
  await title(page, 'Fern').waitFor();
  const hand = await taps(context);
  await link(page, 'Eggs found').tap();
  await button(page, 'Eggs found now').tap();
  await link(page, 'Pull and box it').tap();
  await field(page, /^Good$/).tap();
  await page.keyboard.type('9');
  await field(page, 'Box weight, lid on').tap();
  await page.keyboard.type('1512');
  await button(page, 'Save, then label').tap();
  await button(page, 'PDF').waitFor();
  within('clutch-pulled', await hand.count(), 8);
  await said(page, 'saved in its box');
  await toBox(page);
  const box = await shows(page);
  assert.match(box, /9 in/);
  assert.match(box, /1512 g/);
  assert.match(box, /Incubator A/);
  await shot(page, 'box');
  await again(page, await page.getByRole('heading', { level: 1 }).innerText());
  assert.equal(await shows(page), box);
}));

test('several boxes, duds, slugs, a clump, a candidate sire and a span of days', () => stocked(async ({ page }) => {
  await bar(page, 'Animals').tap();
  await link(page, 'Add an animal').tap();
  await field(page, 'Name').fill('Fern');
  await button(page, 'Male').tap();
  await button(page, 'Save').tap();
  await title(page, 'Fern').waitFor();

  await bar(page, 'Boxes').tap();
  await link(page, 'Pull a clutch').first().tap();
  await pick(page, 'Dam').selectOption({ label: await option(page, 'Dam', 'Bel') });
  await pick(page, 'Sire').selectOption({ label: await option(page, 'Sire', 'Moss') });
  await page.getByText('More: number, species, clump').tap();
  await button(page, 'Another possible sire').tap();
  await pick(page, 'Or this sire').selectOption({ label: await option(page, 'Or this sire', 'Fern') });
  await button(page, 'Between two days').tap();
  const day = (back) => new Date(Date.now() - back * 86_400_000).toISOString().slice(0, 10);
  await page.getByLabel('From', { exact: true }).fill(day(3));
  await page.getByLabel('To', { exact: true }).fill(day(1));
  for (const [name, count] of [['Good', 7], ['Bad eggs', 1], ['Slugs', 2]]) await field(page, new RegExp(`^${name}$`)).fill(String(count));
  await field(page, 'Clumps').fill('A-C');
  await button(page, 'Another box for this clutch').tap();
  await field(page, 'Eggs in this box').fill('5');
  await field(page, 'Box weight, lid on').first().fill('1400');
  await field(page, 'Box weight, lid on').last().fill('1100');
  await button(page, 'Save, then label').tap();
  await said(page, 'saved in 2 boxes');
  await toBox(page);
  const first = await shows(page);
  assert.match(first, /Bel × Moss or Fern/);
  assert.match(first, /box 1 of 2/);
  assert.match(first, /5 in/);
  await link(page, /^Clutch /).tap();
  await page.getByText('Counted', { exact: true }).waitFor();
  const clutch = await shows(page);
  assert.match(clutch, /7 good, 1 bad egg, 2 slugs/);
  assert.match(clutch, /Laid \d+ \w+ ±1 d/);
  await shot(page, 'clutch');
}));

test('a clump that names no egg is refused in words', () => stocked(async ({ page }) => {
  await bar(page, 'Boxes').tap();
  await link(page, 'Pull a clutch').first().tap();
  await field(page, /^Good$/).fill('4');
  await page.getByText('More: number, species, clump').tap();
  await field(page, 'Clumps').fill('A-F');
  await page.getByRole('alert').filter({ hasText: 'There are only 4 eggs' }).waitFor();
}));

test('the whole pull can be undone from its message', () => stocked(async ({ page }) => {
  await bar(page, 'Boxes').tap();
  await title(page, 'Boxes').waitFor();
  const before = await shows(page);
  await pullClutch(page);
  await said(page, 'saved in its box');
  await button(page, 'Undo').tap();
  await said(page, 'Undone.');
  await page.locator('a.back').tap();
  await bar(page, 'Boxes').tap();
  await title(page, 'Boxes').waitFor();
  assert.equal(await shows(page), before);
}));

test('a blank label printed ahead begins a clutch in its box', () => stocked(async ({ page }) => {
  await bar(page, 'More').tap();
  await link(page, /^Blank labels/).tap();
  const file = page.waitForEvent('download');
  await button(page, 'Make PDF').tap();
  assert.equal((await file).suggestedFilename(), 'blank-labels.pdf');

  // The link as the phone's own camera opens it, on a phone that has never seen this label.
  await page.goto(`${server.url}#/N/7K3QX2M9`);
  await link(page, 'Pull a clutch into this box').tap();
  await page.getByText('The blank label 7K3Q-X2M9-B becomes this box\'s label.').waitFor();
  await field(page, /^Good$/).fill('4');
  await field(page, 'Box weight, lid on').fill('900');
  await button(page, 'Save, then label').tap();
  await said(page, 'saved in its box');
  await page.goto(`${server.url}#/N/7K3QX2M9`);
  await link(page, 'Candle').waitFor();
  await showing(page, /7K3Q-X2M9-B/);
  await page.getByRole('button', { name: /^Egg D,/ }).waitFor();
}));

/** Tab, until what is wanted has the focus. */
async function tabTo(page, wanted) {
  for (let step = 0; step < 150; step += 1) {
    await page.keyboard.press('Tab');
    if (await wanted.evaluate((element) => element === document.activeElement)) return;
  }
  assert.fail(`no Tab leads to ${wanted}`);
}

test('a clutch found, pulled and boxed with a keyboard alone', () => stocked(async ({ page }) => {
  await page.setViewportSize({ width: 1280, height: 800 });
  const enter = async (wanted) => {
    await wanted.waitFor();
    await tabTo(page, wanted);
    await page.keyboard.press('Enter');
  };
  const type = async (wanted, text) => {
    await wanted.waitFor();
    await tabTo(page, wanted);
    await page.keyboard.press('Control+A');
    await page.keyboard.type(text);
  };
  await enter(bar(page, 'Animals'));
  await enter(link(page, /^Bel/).first());
  await enter(link(page, 'Eggs found'));
  await enter(button(page, 'Eggs found now'));
  await said(page, 'Eggs found: saved.');
  await enter(link(page, 'Pull and box it'));
  await type(field(page, /^Good$/), '7');
  await type(field(page, 'Box weight, lid on'), '1486');
  await enter(button(page, 'Save, then label'));
  await title(page, 'Label').waitFor();
  await enter(page.locator('a.back'));
  await link(page, 'Candle').waitFor();
  await showing(page, /7 in/);
}));
