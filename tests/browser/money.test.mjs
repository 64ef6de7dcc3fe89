// Money, for those who write it down, by taps: nothing of it before somebody wants it; then a price, a deposit, what it was
// sold for, the list and its sheet, costs; each put right and undone.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { fits, violations } from './harness/access.mjs';
import { shot } from './harness/browser.mjs';
import { again, atBarn, bar, button, field, link, loadSeason, pick, said, shows, startByHand, title, toAnimal, undo, within } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { taps } from './harness/taps.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const still = { reducedMotion: 'reduce' };
const fit = (page, what) => fits(page, `money-${what}`);
// A field that offers what was typed before.
const kind = (page) => page.getByLabel('Kind of cost');
const alert = (page, text) => page.getByRole('alert').filter({ hasText: text }).waitFor();

async function more(page, name) {
  await bar(page, 'More').tap();
  await title(page, 'More').waitFor();
  if (name) await link(page, name).tap();
}

async function inEuro(page) {
  await more(page, /^Settings/);
  await pick(page, 'Prices and costs').selectOption('EUR');
  await said(page, 'Currency saved.');
}

test('nothing of money before somebody wants it; then a price in two taps and a figure, and the list on paper', () => atBarn(server, still, async ({ context, page, faults }) => {
  await startByHand(page);
  await toAnimal(page, 'Bel');
  assert.doesNotMatch(await shows(page), /price|sale/i);
  await more(page);
  assert.doesNotMatch(await shows(page), /for sale|costs/i);
  await inEuro(page);
  await fit(page, 'settings');
  await toAnimal(page, 'Bel');
  const before = await shows(page);
  const counted = await taps(context);
  await counted.reset();
  await button(page, 'Set a price').tap();
  await title(page, 'Price of Bel').waitFor();
  // The cursor is in it.
  await page.keyboard.type('80,50');
  await button(page, 'Save').tap();
  await said(page, 'Price saved.');
  // Set a price, the figure, Save.
  within('a price', await counted.count(), 3);
  await button(page, 'For sale: 80.50 EUR').waitFor();
  await undo(page, before);

  // What may be read in two ways says how it was read; what cannot be is said at the field.
  await button(page, 'Set a price').tap();
  await field(page, 'Price asked').fill('cheap');
  await button(page, 'Save').tap();
  await alert(page, 'Price asked: “cheap” is not an amount of money.');
  await field(page, 'Price asked').fill('1,250');
  await page.getByText('Read as 1250.00 EUR.').waitFor();
  await fit(page, 'price');
  await button(page, 'Save').tap();
  await button(page, 'For sale: 1250.00 EUR').waitFor();
  await fit(page, 'animal');

  await more(page, /^For sale/);
  await title(page, 'For sale').waitFor();
  assert.match(await shows(page), /Bel .*female.* 1250\.00 EUR/);
  await page.getByRole('searchbox').fill('nobody');
  await page.getByText('Nothing for sale matches.').waitFor();
  await page.getByRole('searchbox').fill('');
  await link(page, /^Bel/).waitFor();
  await fit(page, 'sale');
  await again(page, 'For sale');
  await link(page, /^Bel/).tap();
  await title(page, 'Bel').waitFor();
  await button(page, 'For sale: 1250.00 EUR').tap();
  await field(page, 'Price asked').fill('');
  await button(page, 'Save').tap();
  await said(page, 'Not for sale any more.');
  await button(page, 'Set a price').waitFor();
  assert.deepEqual(faults, []);
}));

test('a promise has its deposit, its person what is open, and what it was sold for is put right', () => atBarn(server, still, async ({ page, faults }) => {
  await startByHand(page);
  await inEuro(page);
  await more(page, /^Waiting list/);
  await button(page, 'Add somebody').tap();
  await title(page, /P-001/).waitFor();
  await toAnimal(page, 'Moss');
  await link(page, 'Hold or place').tap();
  await pick(page, 'To whom').selectOption({ index: 1 });
  await field(page, 'Price').fill('80');
  await field(page, 'Deposit').fill('a few');
  await button(page, 'Hold it for them').tap();
  await alert(page, 'Deposit: “a few” is not an amount of money.');
  await field(page, 'Deposit').fill('20');
  await button(page, 'Hold it for them').tap();
  await page.getByText('Deposit 20.00 EUR', { exact: true }).waitFor();
  await fit(page, 'held');
  await more(page, /^Waiting list/);
  await title(page, 'Waiting list and holds').waitFor();
  assert.match(await shows(page), /80\.00 EUR · deposit 20\.00 EUR/);
  await link(page, /P-001/).last().tap();
  await page.getByText('Still open: 60.00 EUR').waitFor();
  await fit(page, 'person');
  await link(page, /^Correct: Moss: price 80\.00 EUR/).tap();
  await field(page, 'Deposit').fill('30');
  await button(page, 'Save').tap();
  await said(page, 'Corrected.');
  await link(page, /P-001/).last().tap();
  await page.getByText('Still open: 50.00 EUR').waitFor();

  await toAnimal(page, 'Moss');
  await link(page, 'Hold or place').tap();
  assert.equal(await field(page, 'Price').inputValue(), '80.00', 'as agreed');
  await button(page, 'Mark as gone').tap();
  await title(page, 'Moss').waitFor();
  await page.getByText('80.00 EUR').first().waitFor();
  await page.evaluate(() => { location.hash = location.hash.replace('/papers', '/edit'); });
  await page.locator('summary', { hasText: /^Left/ }).tap();
  await field(page, 'Price').fill('75');
  await button(page, 'Save').tap();
  await said(page, 'Saved.');
  await title(page, 'Moss').waitFor();
  assert.match(await shows(page), /sold .* 75\.00 EUR/i);
  await page.evaluate(() => { location.hash = `${location.hash}/papers`; });
  await page.getByRole('definition').filter({ hasText: '75.00 EUR' }).waitFor();
  assert.deepEqual(faults, []);
}));

test('costs are noted by kind, amount and Save, put right, taken back, and summed by kind and year', () => atBarn(server, still, async ({ context, page, faults }) => {
  await startByHand(page);
  await inEuro(page);
  await more(page, /^Costs/);
  await title(page, 'Costs').waitFor();
  const counted = await taps(context);
  await counted.reset();
  await kind(page).tap();
  await page.keyboard.type('Feed');
  await field(page, 'Amount').tap();
  await page.keyboard.type('14,20');
  await button(page, 'Save').tap();
  await said(page, 'Cost saved.');
  // Each of the two fields and what is typed in it, and Save.
  within('a cost', await counted.count(), 5);
  await kind(page).fill('feed');
  await field(page, 'Amount').fill('5.80');
  await button(page, 'Save').tap();
  await page.getByRole('row', { name: /^feed 20\.00 EUR/i }).waitFor();
  await field(page, 'Amount').fill('12');
  await button(page, 'Save').tap();
  await alert(page, 'Kind of cost: type it first.');
  assert.equal(await field(page, 'Amount').inputValue(), '12', 'what was typed stays');
  await field(page, 'Amount').fill('');
  await fit(page, 'costs');
  await link(page, /^Correct: Feed/).first().tap();
  await field(page, 'Amount').fill('15.20');
  await fit(page, 'cost-correct');
  await button(page, 'Save').tap();
  await said(page, 'Corrected.');
  await title(page, 'Costs').waitFor();
  const two = await shows(page);
  await link(page, /^Correct: feed/i).first().tap();
  await button(page, 'It did not happen: take it back').tap();
  await title(page, 'Costs').waitFor();
  await undo(page, two);
  assert.deepEqual(faults, []);
}));

test('the season has some of it; the sheet is printed with faces and without what is tapped', () => atBarn(server, still, async ({ page, faults }) => {
  await loadSeason(page);
  await more(page, /^For sale/);
  const rows = page.locator('.sale a.row');
  await rows.first().waitFor();
  assert.equal(await rows.count(), 3);
  assert.match(await shows(page), /Larkspur .* 240\.00 EUR/);
  await page.waitForFunction(() => [...document.querySelectorAll('.photo img')].some((img) => img.naturalWidth > 0));
  await fit(page, 'season-sale');
  await page.emulateMedia({ media: 'print' });
  assert.match(await shows(page), /On \d+ \w+ 20\d\d/);
  const tapped = await page.evaluate(() => [...document.querySelectorAll('main :is(button, input, .act)')].filter((part) => part.checkVisibility()).length);
  assert.equal(tapped, 0);
  await shot(page, 'money-sheet', { fullPage: true });
  await page.emulateMedia({ media: 'screen' });
  await more(page, /^Costs/);
  await title(page, 'Costs').waitFor();
  assert.match(await shows(page), /Veterinarian 64\.20 EUR/);
  await fit(page, 'season-costs');
  await page.setViewportSize({ width: 1280, height: 800 });
  await shot(page, 'money-wide-costs');
  assert.deepEqual(await violations(page), []);
  await page.evaluate(() => { location.hash = '#/sale'; });
  await rows.first().waitFor();
  await shot(page, 'money-wide-sale');
  assert.deepEqual(await violations(page), []);
  assert.deepEqual(faults, []);
}));
