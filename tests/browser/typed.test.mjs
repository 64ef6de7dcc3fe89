// What is typed is kept, converted or told at its field; nothing of it is lost. The tables are the desk's own tests; here
// is what only a browser can tell.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { atBarn, bar, button, egg, field, link, option, pick, pullClutch, said, startByHand, title, toBox } from './harness/keeper.mjs';
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
  await field(page, 'Closed mass').fill('1,486');
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
  await field(page, 'Closed mass').fill('3l.5');
  await page.getByText('More: number, species, clump').tap();
  await field(page, 'Dam before laying').fill('98O');
  await page.getByText('More: number, species, clump').tap();
  await button(page, 'Save, then label').tap();
  await alert(page, 'Closed mass: “3l.5” is not a weight.').waitFor();
  assert.equal(await field(page, 'Closed mass').evaluate((box) => box === document.activeElement), true, 'the cursor goes to it');
  assert.equal(await field(page, 'Closed mass').inputValue(), '3l.5');
  await field(page, 'Closed mass').fill('1486');
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
  await said(page, 'Nothing was changed');
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
  await link(page, 'Eggs leave').tap();
  await egg(page, 'B').tap();
  await field(page, 'What they weigh together').fill('0.4 oz');
  await button(page, 'Save').tap();
  await said(page, 'saved.');
  assert.match(await last(page), /"fate_mass_mg":11340/);
}));
