// What animals carry, what their babies can be, and what the babies say back, on the invented season.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { shot } from './harness/browser.mjs';
import { atBarn, bar, button, field, link, loadSeason, option, pick, said, showing, title, toAnimal } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const has = async (page, text) => {
  await page.locator('main').getByText(text).first().waitFor();
};
/** The chips for one baby and one locus; codes begin with the year. */
const chips = (page, baby, locus) => page.getByRole('group', { name: new RegExp(`-${baby}: ${locus}$`) });

async function genes(page, name) {
  await toAnimal(page, name);
  await link(page, 'Enter what is known').tap();
  await title(page, new RegExp(`^Genetics of ${name}`)).waitFor();
}

async function clutch(page, dam, number, to) {
  await toAnimal(page, dam);
  await link(page, new RegExp(`-${number}\\b`)).first().tap();
  await title(page, new RegExp(`-${number}$`)).waitFor();
  await link(page, new RegExp(`^${to}`)).first().tap();
}

test('an animal\'s genotype is entered in taps, told in the trade\'s words, with the why; outcomes follow', () => atBarn(server, {}, async ({ page, faults }) => {
  await loadSeason(page);
  await genes(page, 'Rusk');
  await has(page, 'het amelanistic, het anerythristic');
  await has(page, 'Entered: het (one copy) (his dam was amelanistic).');
  await pick(page, 'Trait').selectOption({ label: 'lavender' });
  await button(page, 'possible het').tap();
  await field(page, 'How likely').fill('50');
  await button(page, 'Save').tap();
  await said(page, 'Saved.');
  await has(page, 'het amelanistic, het anerythristic, poss het lavender 50 %');
  await shot(page, 'genes', { fullPage: true });

  await clutch(page, 'Marigold', '01', 'What the babies can be');
  await title(page, /^Marigold × Rusk/).waitFor();
  const rows = page.getByRole('listitem');
  const amelanistic = rows.filter({ hasText: /^amelanistic/ });
  assert.match((await amelanistic.innerText()).replace(/\s+/g, ' '), /^amelanistic 50 % .* eggs, likely \d+ to \d+ .*poss het anerythristic 50 %.* at least one in \d+ eggs: .*; 4 eggs for 90 %/);
  await has(page, 'The records show no common ancestor.');
  await shot(page, 'outcomes', { fullPage: true });
  // Told apart by fewer traits: all look alike but for one.
  await button(page, 'amelanistic').tap();
  await amelanistic.waitFor({ state: 'detached' });
  assert.equal(await rows.filter({ hasText: 'normal' }).count(), 1);
  assert.deepEqual(faults, []);
}));

test('babies are ticked, and say who carries, how it fits, and what cannot be', () => atBarn(server, {}, async ({ page, faults }) => {
  await loadSeason(page);
  await clutch(page, 'Wren', '02', 'What the babies look like');
  await has(page, 'Wren: hypomelanistic now 20 % likely, before the babies 66 %.');
  await chips(page, 'A', 'hypomelanistic').getByRole('button', { name: 'hypomelanistic', exact: true }).tap();
  await button(page, 'Save').tap();
  await said(page, 'Looks saved.');
  await has(page, 'Wren: hypomelanistic proved out.');
  await shot(page, 'looks', { fullPage: true });

  await clutch(page, 'Marigold', '01', 'What the babies look like');
  await has(page, /3 amelanistic, 3\.0 expected; .*that fits/);
  await chips(page, 'G', 'anerythristic').getByRole('button', { name: 'anerythristic', exact: true }).tap();
  await button(page, 'Save').tap();
  await has(page, 'Marigold must carry anerythristic, though that was never entered.');
  await genes(page, 'Marigold');
  await pick(page, 'Trait').selectOption({ label: 'anerythristic' });
  await button(page, 'does not carry it').tap();
  await button(page, 'Save').tap();
  await page.getByRole('alert').getByText('This can\'t be (anerythristic)').waitFor();
  await showing(page, /Look at what is entered of .*Marigold.*-01-G/);
  assert.deepEqual(faults, []);
}));

test('a wish finds its pairing, and traits are the keeper\'s own', () => atBarn(server, {}, async ({ page, faults }) => {
  await loadSeason(page);
  await bar(page, 'More').tap();
  await link(page, /^Traits/).tap();
  await title(page, 'Traits').waitFor();
  await pick(page, 'Species').selectOption({ label: await option(page, 'Species', 'corn snake') });
  await has(page, 'Bechtel & Bechtel 1989');
  await link(page, 'Add a trait').tap();
  await field(page, 'Name').fill('moonlit');
  await button(page, 'incomplete dominant').tap();
  await field(page, 'Name of the look with two copies').fill('full moon');
  await button(page, 'Save').tap();
  await said(page, 'Trait saved.');
  await link(page, /^moonlit incomplete dominant/).waitFor();
  await link(page, 'Plan a pairing').tap();
  await pick(page, 'Wanted trait').selectOption({ label: 'amelanistic' });
  await button(page, 'Add this trait').tap();
  const first = link(page, /×/).first();
  await first.waitFor();
  assert.match(await first.innerText(), /^Marigold × Rusk\s+50 % of each egg/);
  await shot(page, 'plan', { fullPage: true });
  assert.deepEqual(faults, []);
}));
