// What is typed is kept, converted or told at its field; nothing of it is lost. The tables are the desk's own tests; here
// is what only a browser can tell.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { atBarn, bar, button, egg, field, link, option, pick, pullClutch, said, startByHand, title, toAnimal, toBox } from './harness/keeper.mjs';
import { stored } from './harness/records.mjs';
import { site } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const stocked = (act) => atBarn(server, {}, async (open) => {
  await startByHand(open.page);
  await act(open.page);
  assert.deepEqual(open.faults, []);
});

const alert = (page, text) => page.getByRole('alert').filter({ hasText: text });

/** Opens the page of a pull, with what it needs but the masses. */
async function toPull(page) {
  await bar(page, 'Boxes').tap();
  await link(page, 'Pull a clutch').first().tap();
  await pick(page, 'Dam').selectOption({ label: await option(page, 'Dam', 'Bel') });
  await pick(page, 'Shelf').selectOption({ index: 1 });
  await field(page, /^Good$/).fill('6');
}

/** The act written last, as its line has it. */
const last = async (page) => (await stored(page)).lines.at(-1);

test('masses in ounces, litres and with a comma are kept, and offered again', () => stocked(async (page) => {
  await toPull(page);
  await field(page, 'Dry medium').fill('8 oz');
  await page.getByText('Read as 226.796 g.').waitFor();
  await field(page, 'Water').fill('0,2 l');
  await field(page, 'Box weight, lid on').fill('1,486');
  await page.getByText('Read as 1486 g.').waitFor();
  await button(page, 'Save, then label').tap();
  await title(page, 'Label').waitFor();
  const text = await last(page);
  for (const kept of ['"dry_mg":226796', '"water_mg":200000', '"closed_mg":1486000']) assert.ok(text.includes(kept), `${kept} in ${text}`);
  await toBox(page);
  await bar(page, 'Boxes').tap();
  await link(page, 'Pull a clutch').first().tap();
  assert.equal(await field(page, 'Dry medium').inputValue(), '227');
  assert.equal(await field(page, 'Water').inputValue(), '200');
}));

test('what cannot be read keeps Save from saving, and is told at its field', () => stocked(async (page) => {
  await toPull(page);
  const before = (await stored(page)).lines.length;
  await field(page, 'Box weight, lid on').fill('3l.5');
  await page.getByText('More: number, species, clump').tap();
  await field(page, 'Dam before laying').fill('98O');
  await page.getByText('More: number, species, clump').tap();
  await button(page, 'Save, then label').tap();
  await alert(page, 'Box weight, lid on: “3l.5” is not a weight.').waitFor();
  assert.equal(await field(page, 'Box weight, lid on').evaluate((box) => box === document.activeElement), true, 'the cursor goes to it');
  assert.equal(await field(page, 'Box weight, lid on').inputValue(), '3l.5');
  await field(page, 'Box weight, lid on').fill('1486');
  await button(page, 'Save, then label').tap();
  // In a fold that was shut: it opens.
  await alert(page, 'Dam before laying: “98O” is not a weight.').waitFor();
  await field(page, 'Dam before laying').fill('980');
  await field(page, /^Good$/).fill('1000');
  await button(page, 'Save, then label').tap();
  await alert(page, 'Good: 1000 is too much. The most is 120.').waitFor();
  assert.equal((await stored(page)).lines.length, before, 'nothing was saved');
  await field(page, /^Good$/).fill('6');
  await button(page, 'Save, then label').tap();
  await title(page, 'Label').waitFor();
  assert.match(await last(page), /"gravid_mg":980000/);
}));

test('an egg\'s page saves only what was typed, and eggs that leave weigh what was typed', () => stocked(async (page) => {
  await pullClutch(page);
  await toBox(page);
  const box = page.url();
  await link(page, /^Clutch /).tap();
  await link(page, 'Measure eggs').tap();
  await field(page, 'Egg A: length').fill('31.456');
  await field(page, 'Egg A: mass').fill('11.234');
  await button(page, 'Save').tap();
  await said(page, 'Measures saved.');
  await page.getByText('Eggs, one by one').tap();
  await link(page, 'Egg A').tap();
  await button(page, 'Save').tap();
  await said(page, 'Nothing changed');
  await field(page, 'Width').fill('0.6 in');
  await button(page, 'Save').tap();
  await said(page, 'Egg saved.');
  const line = await last(page);
  assert.match(line, /"wid_um":15240/);
  assert.doesNotMatch(line, /len_um|mass_mg/, 'the others were not touched');
  await field(page, 'Length').fill('3l.5');
  await button(page, 'Save').tap();
  await alert(page, 'Length: “3l.5” is not a length.').waitFor();
  await page.goto(box);
  await link(page, 'Remove eggs').tap();
  await egg(page, 'B').tap();
  await field(page, 'What they weigh together').fill('0.4 oz');
  await button(page, 'Save').tap();
  await said(page, 'saved.');
  assert.match(await last(page), /"fate_mass_mg":11340/);
}));

test('a day that is not finished, in a section that is shut: the section opens and says so there', () => stocked(async (page) => {
  await toAnimal(page, 'Bel');
  await link(page, 'Edit').tap();
  const fold = page.locator('details').filter({ has: page.getByLabel('Hatched on') });
  await fold.locator('summary').tap();
  // Half a day: the browser itself calls the field empty.
  await page.getByLabel('Hatched on').focus();
  await page.keyboard.type('05');
  await fold.locator('summary').tap();
  assert.equal(await page.getByLabel('Hatched on').isVisible(), false);
  const before = (await stored(page)).lines.length;
  await button(page, 'Save').tap();
  await alert(page, 'Hatched on: the day is not finished.').waitFor();
  await page.getByLabel('Hatched on').waitFor();
  assert.equal(await page.getByLabel('Hatched on').evaluate((box) => box === document.activeElement), true);
  assert.equal((await stored(page)).lines.length, before);
}));

test('what is changed while a question stands takes the question back, and is saved', () => stocked(async (page) => {
  await pullClutch(page);
  await toBox(page);
  await toPull(page);
  await button(page, 'Save, then label').tap();
  const asked = page.getByRole('alertdialog');
  await asked.getByText(/Is this another clutch/).waitFor();
  await field(page, 'Box weight, lid on').fill('1300');
  await asked.waitFor({ state: 'detached' });
  await button(page, 'Save, then label').tap();
  await asked.waitFor();
  await button(page, 'Good: one more').tap();
  await asked.waitFor({ state: 'detached' });
  await button(page, 'Save, then label').tap();
  await asked.getByRole('button', { name: 'Save anyway' }).tap();
  await title(page, 'Label').waitFor();
  const text = await last(page);
  for (const kept of ['"closed_mg":1300000', '"good":7']) assert.ok(text.includes(kept), `${kept} in ${text}`);
}));

test('what is amiss on a page is not said on the next one', () => stocked(async (page) => {
  await pullClutch(page);
  await toBox(page);
  await link(page, 'Remove eggs').tap();
  await button(page, 'Save').tap();
  await said(page, 'Tap at least one egg first.');
  await page.locator('a.back').tap();
  await link(page, 'Candle').waitFor();
  await page.getByText('Tap at least one egg first.').waitFor({ state: 'detached', timeout: 1_000 });
}));

test('a box that was emptied, noted and weighed is put right from its page', () => stocked(async (page) => {
  await pullClutch(page);
  await toBox(page);
  await link(page, 'Taken out, put in').tap();
  await field(page, 'What').fill('moss');
  await field(page, 'Its mass').fill('12');
  await button(page, 'Save').tap();
  await link(page, /^Correct: 12 g taken out: moss/).tap();
  await field(page, 'Its mass').fill('15');
  await button(page, 'put in').tap();
  await button(page, 'Save').tap();
  await page.getByText('15 g put in: moss').waitFor();
  await link(page, 'Note').tap();
  await page.getByLabel('Note').fill('dented');
  await page.getByText('Not just now?').tap();
  await button(page, 'Yesterday').tap();
  await button(page, 'Save').tap();
  await link(page, /^Correct: dented, yesterday/).tap();
  await page.getByLabel('Note').fill('dented on top');
  await button(page, 'Save').tap();
  await page.getByText('dented on top').waitFor();
  await link(page, /^Correct: to Incubator A, shelf 1/i).waitFor();

  await link(page, 'Remove eggs').tap();
  for (const letter of 'ABCDEF') await egg(page, letter).tap();
  await button(page, 'Save').tap();
  await said(page, 'saved.');
  await page.getByText('Not just now?').tap();
  await button(page, 'Yesterday').tap();
  await button(page, 'Box is empty: close it').tap();
  // It was set today: it cannot have been emptied before.
  await said(page, 'cannot come before');
  await button(page, 'Now').tap();
  await button(page, 'Box is empty: close it').tap();
  await page.getByText('This box has been emptied and closed.').waitFor();
  await link(page, /^Correct: This box has been emptied/).tap();
  await page.getByLabel('Emptied on').fill('');
  await button(page, 'Save').tap();
  await button(page, 'Box is empty: close it').waitFor();
}));
