// Cooling, by taps: many at once, due on Rounds, weighed before and after, asked about before they are fed; who is ready to
// breed by the barn's own rules.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { fits } from './harness/access.mjs';
import { atBarn, bar, button, dayFrom, field, link, loadSeason, pick, said, shows, showing, startByHand, title, undo, within } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { taps } from './harness/taps.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const fit = (page, what) => fits(page, `cooling-${what}`);

const day = async (page, name, days) => page.getByLabel(name, { exact: true }).fill(await dayFrom(page, days));

async function toMany(page) {
  await bar(page, 'Animals').tap();
  await link(page, 'Several at once').tap();
  await button(page, /^Tick all/).tap();
}

test('two cooled together, ended from Rounds, weighed one after the other', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ context, page, faults }) => {
  await startByHand(page);
  await toMany(page);
  await button(page, 'Weigh').tap();
  await field(page, 'Bel').fill('1240');
  await field(page, 'Moss').fill('405');
  await button(page, 'Another day').tap();
  await day(page, 'Day', -70);
  await button(page, 'Save').tap();
  await said(page, 'Saved for 2 animals.');

  const counted = await taps(context);
  await counted.reset();
  await button(page, /^Tick all/).tap();
  await button(page, 'Cool').tap();
  await fit(page, 'new');
  await day(page, 'First cool day', -70);
  await day(page, 'Last cool day', 0);
  await field(page, 'Target temperature').fill('12');
  await button(page, 'Save').tap();
  await title(page, 'Cooling: 2 animals').waitFor();
  // Tick all, Cool, three fields, Save.
  within('two animals cooled', await counted.count(), 6);
  await showing(page, /2 are cool .*The last day has come/);
  await fit(page, 'plan');

  await bar(page, 'Rounds').tap();
  await page.getByText('Cooling ends: 2 animals. Weigh each').waitFor();
  await counted.reset();
  await link(page, 'Open: Bel, Moss').tap();
  await title(page, 'Cooling: 2 animals').waitFor();
  const open = await shows(page);
  await button(page, 'End').tap();
  await said(page, 'Ended: 2 animals. Weigh them now.');
  await title(page, 'Weigh: 2 animals').waitFor();
  await button(page, 'Cancel').tap();
  await undo(page, open);
  await counted.reset();
  await button(page, 'End').tap();
  await title(page, 'Weigh: 2 animals').waitFor();
  await field(page, 'Bel').tap();
  await page.keyboard.type('1102');
  await page.keyboard.press('Enter');
  assert.equal(await page.evaluate(() => document.activeElement?.getAttribute('aria-label')), 'Moss', 'on to the next');
  await page.keyboard.type('397');
  await fit(page, 'weigh');
  await button(page, 'Save').tap();
  await said(page, 'Saved for 2 animals.');
  // End, the first field and its digits, Enter, the second one's digits, Save: the second field comes by itself.
  within('two ended and weighed', await counted.count(), 6);
  await title(page, 'Cooling: 2 animals').waitFor();
  const now = await shows(page);
  assert.match(now, /1240 g .*, 1102 g .*: 138 g less \(11\.1 %\)/);
  assert.match(now, /405 g .*, 397 g .*: 8 g less \(2\.0 %\)/);
  assert.match(now, /Many keepers look closer once 10 % is lost \(common practice, no source\)/);
  assert.match(now, /before pairing: warmth until .*, 2 more meals, one more shed/);
  await fit(page, 'over');

  // On her own page too, and it is asked about before she is paired.
  await bar(page, 'Animals').tap();
  await link(page, /^Bel/).first().tap();
  await link(page, /^Cooling ended .*before pairing: warmth until/).waitFor();
  assert.deepEqual(faults, []);
}));

test('a plan to come: no food before it, one put right alone, begun from Rounds', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ page, faults }) => {
  await startByHand(page);
  await toMany(page);
  await button(page, 'Cool').tap();
  await day(page, 'First cool day', 10);
  await field(page, 'Target temperature').fill('twelve');
  await button(page, 'Save').tap();
  await page.getByRole('alert').getByText(/Target temperature/).first().waitFor();
  await field(page, 'Target temperature').fill('12');
  await button(page, 'Save').tap();
  await title(page, 'Cooling: 2 animals').waitFor();
  await showing(page, /2 are planned/);

  // Fourteen days without food before: a meal is asked about.
  await toMany(page);
  await button(page, 'Meal').tap();
  await button(page, 'Save').tap();
  await page.getByRole('alertdialog').getByText(/Kept cool, or soon to be: (Bel, Moss|Moss, Bel)\./).waitFor();
  await button(page, 'Go back').tap();

  await bar(page, 'More').tap();
  await link(page, /^Cooling/).tap();
  await fit(page, 'list');
  await link(page, /^Bel, Moss/).tap();
  await page.getByRole('checkbox', { name: /^Moss/ }).tap();
  await button(page, 'Put right').tap();
  await title(page, 'Put right: 1 animal').waitFor();
  await fit(page, 'fix');
  await day(page, 'First cool day', 0);
  await button(page, 'Save').tap();
  await said(page, 'Cooling saved.');
  await title(page, 'Cooling: 1 animal').waitFor();

  await bar(page, 'Rounds').tap();
  await page.getByText(/Cooling begins: 1 animal to 12(\.0)? °C\. Weigh each/).waitFor();
  await link(page, 'Open: Bel').tap();
  await title(page, 'Cooling: 1 animal').waitFor();
  const planned = await shows(page);
  await button(page, 'Begin').tap();
  await said(page, 'Begun: 1 animal.');
  await undo(page, planned);
  await button(page, 'Begin').tap();
  await said(page, 'Begun: 1 animal.');
  await showing(page, /1 is cool/);
  await bar(page, 'Rounds').tap();
  await page.getByText(/Cooling begins/).waitFor({ state: 'detached' });
  // The other is called off.
  await bar(page, 'More').tap();
  await link(page, /^Cooling/).tap();
  await link(page, /^Moss/).tap();
  await button(page, 'Call off').tap();
  await said(page, 'Called off.');
  await showing(page, /1 was called off/);
  assert.deepEqual(faults, []);
}));

test('the season: what was lost, the rule after it, and who is ready to breed', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ page, faults }) => {
  await loadSeason(page);
  await bar(page, 'More').tap();
  await link(page, /^Cooling/).tap();
  await link(page, /^Ash, Bramble \+ 2.*are over/).tap();
  await showing(page, /310 g .*, 274 g .*: 36 g less \(11\.6 %\)/);
  await fit(page, 'season');
  await page.goBack();
  await page.getByText(/^Before pairing: 14 days in the warm, 2 meals, 1 shed$/).tap();
  await button(page, 'Meals taken after cooling: one more').tap();
  await button(page, 'Save').tap();
  await said(page, 'Rule saved.');
  await page.getByText(/^Before pairing: 14 days in the warm, 3 meals, 1 shed$/).waitFor();
  // The page stays, and the rule can be put back.
  await button(page, 'Meals taken after cooling: one less').tap();
  await button(page, 'Save').tap();
  await page.getByText(/^Before pairing: 14 days in the warm, 2 meals, 1 shed$/).waitFor();

  await bar(page, 'More').tap();
  await link(page, /^Pairings/).tap();
  await link(page, 'Ready to breed').tap();
  await title(page, 'Ready to breed').waitFor();
  const text = await shows(page);
  assert.match(text, /Your rules/i);
  assert.match(text, /No rule yet for: /);
  await fit(page, 'ready');
  // A rule of one's own: whoever it is asked of is listed at once.
  const ready = await shows(page);
  await page.getByText('Set a rule', { exact: true }).tap();
  await pick(page, 'Species').selectOption({ label: 'gray-banded kingsnake' });
  await field(page, 'Months of age at least').fill('24');
  await fit(page, 'ready-rule');
  await button(page, 'Save').tap();
  await said(page, 'Rule saved.');
  await link(page, /^Larkspur/).waitFor();
  assert.ok(!ready.includes('Larkspur'), 'nobody asked before');
  assert.deepEqual(faults, []);
}));
