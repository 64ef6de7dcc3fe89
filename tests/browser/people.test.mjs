// Details of people outside the barn: they stay unless chosen, survive an edit undone, and once erased for good they
// are gone here, elsewhere, and for whatever bundle comes later.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { again, atBarn, bar, button, field, link, said, shows, title } from './harness/keeper.mjs';
import { somebody, toSomebody, wishes } from './harness/people.mjs';
import { details } from './harness/records.mjs';
import { site } from './harness/site.mjs';
import { bundles, handedOver, made, opened, taken, twoPhones } from './harness/swap.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const named = (page, name) => page.waitForFunction(
  (name) => [...document.querySelectorAll('input')].some((input) => input.value === name), name,
);

/** Changes what is known of somebody, on their page; it is loaded anew, so that no older message is taken for this one. */
async function edited(page, mark, name, changes) {
  await again(page, mark);
  await named(page, name);
  for (const [what, to] of Object.entries(changes)) await field(page, what).fill(to);
  await button(page, 'Save').tap();
  await said(page, 'Saved.');
}

/** A bundle with the details of those chosen: all, or the ones of these names. */
async function madeWith(page, people, of) {
  await bundles(page);
  const choice = page.getByRole('group', { name: `Details of ${of}` });
  await choice.getByRole('button', { name: people === 'All' ? 'All' : 'Choose', exact: true }).tap();
  for (const one of people === 'All' ? [] : people) await page.getByLabel(one, { exact: true }).check();
  await page.getByText('The bundle is not locked: whoever gets the file can read these details.').waitFor();
  await button(page, 'Make a bundle').tap();
  const count = people === 'All' ? of : `${people.length} ${people.length === 1 ? 'person' : 'people'}`;
  await page.getByText(new RegExp(`^The bundle is ready: .*, with details of ${count}\\.$`)).waitFor();
  return handedOver(page, /\.zip$/);
}

/** How many people's details a bundle holds: each file's name stands twice in an archive. */
const carried = (bytes) => bytes.toString('latin1').split(/people\/[0-9a-f]{64}\.json/).length >> 1;

test('details stay by default; chosen ones arrive, and nobody else\'s', () => twoPhones(server, async ({ page: one }, { page: two }) => {
  await somebody(one, 'P-001', 'Rosalind Marsh', 'at the third farm');
  await somebody(one, 'P-002', 'Tom Reed', '0123 456');
  const bare = await made(one);
  assert.equal(carried(bare), 0);
  await taken(two, bare, '4 entries taken in.');
  assert.equal(await details(two), '[]');
  await toSomebody(two, 'P-001');
  await two.getByText(/^The details are not on this device/).waitFor();

  await bundles(one);
  await one.getByRole('group', { name: 'Details of 2 people' }).getByRole('button', { name: 'None', pressed: true }).waitFor();
  await one.getByText(/stay on this device: this bundle does not back those up\.$/).waitFor();
  const chosen = await madeWith(one, ['P-002 · Tom Reed'], '2 people');
  assert.equal(carried(chosen), 1);
  // Locked, there is nothing to warn of.
  await one.getByLabel('Lock it with a passphrase').check();
  await one.getByText(/^The bundle is not locked/).waitFor({ state: 'detached' });

  await opened(two, chosen);
  await two.getByText('Details of 1 person come with it.').waitFor();
  await button(two, 'Take it in').tap();
  await said(two, 'Nothing new in it.');
  const there = await details(two);
  assert.match(there, /Tom Reed/);
  assert.doesNotMatch(there, /Rosalind/);
  await toSomebody(two, 'P-002 · Tom Reed');
  await named(two, 'Tom Reed');
}));

test('a wish saved by itself leaves what is typed of the person', () => atBarn(server, {}, async ({ page, faults }) => {
  await wishes(page);
  await button(page, 'Add somebody').tap();
  await title(page, 'P-001').waitFor();
  await field(page, 'Name').fill('Quorl');
  await field(page, 'What they would like, in words').fill('one that eats well');
  await button(page, 'Add to the waiting list').tap();
  await said(page, 'Added to the waiting list.');
  assert.equal(await field(page, 'Name').inputValue(), 'Quorl');
  assert.equal(await field(page, 'What they would like, in words').inputValue(), '');
  await wishes(page);
  await page.locator('main').getByText('one that eats well').waitFor();
  assert.deepEqual(faults, []);
}));

test('an edit undone brings name, address and note back', () => twoPhones(server, async ({ page }) => {
  await somebody(page, 'P-001', 'Rosalind Marsh', 'at the third farm');
  await edited(page, 'P-001', 'Rosalind Marsh', { Name: 'Rosa Marsh', 'How to reach them': '' });
  await button(page, 'Undo').tap();
  await said(page, 'Undone.');
  await named(page, 'Rosalind Marsh');
  await named(page, 'at the third farm');
  await again(page, 'P-001');
  await named(page, 'Rosalind Marsh');
  assert.match(await details(page), /Rosa Marsh/, 'what was undone can be brought back in turn');
}));

test('erasing for good asks, takes every version, travels, and what is gone does not come back', () => twoPhones(server, async ({ page: one }, { page: two }) => {
  await somebody(one, 'P-001', 'Rosalind Marsh', 'at the third farm');
  await edited(one, 'P-001', 'Rosalind Marsh', { Name: 'Rosa Marsh' });
  await somebody(one, 'P-002', 'Tom Reed', '0123 456');
  await taken(two, await madeWith(one, 'All', '2 people'), '5 entries taken in.');
  assert.match(await details(two), /Rosa Marsh/);
  // What the other phone sends on before it knows.
  const early = await madeWith(two, 'All', '2 people');
  assert.equal(carried(early), 2);

  await toSomebody(one, 'P-001 · Rosa Marsh');
  await button(one, 'Erase the details for good').tap();
  const asked = one.getByRole('group', { name: 'Erase the details for good' });
  await asked.getByText(/^Erase what is known of P-001 · Rosa Marsh\? .* This cannot be undone\./).waitFor();
  await button(one, 'Keep them').tap();
  await button(one, 'Erase the details for good').waitFor();
  assert.match(await details(one), /Rosalind Marsh/, 'asked, and nothing erased');
  await button(one, 'Erase the details for good').tap();
  await button(one, 'Erase for good').tap();
  await said(one, 'Erased for good.');
  assert.equal(await button(one, 'Undo').count(), 0);
  await one.getByText('The details were erased for good.').waitFor();
  let here = await details(one);
  assert.match(here, /Tom Reed/);
  assert.doesNotMatch(here, /Rosa/, 'no version is left');

  // The daybook offers no undo of it; undoing the edit before it brings nothing back, and says so.
  await bar(one, 'More').tap();
  await link(one, /^Daybook/).tap();
  await one.getByText("Somebody's details erased for good, P-001").waitFor();
  assert.equal(await button(one, /^Undo: Somebody's details erased for good/).count(), 0);
  assert.match(await shows(one), /cannot be undone/);
  const edit = button(one, "Undo: Somebody's details, P-001").first();
  await edit.tap();
  await one.getByText('details back to what was erased for good (that stays gone)').waitFor();

  await opened(one, early);
  await one.getByText('Details of 1 person come with it.').waitFor();
  await button(one, 'Take it in').tap();
  await said(one, 'Nothing new in it.');
  here = await details(one);
  assert.doesNotMatch(here, /Rosa/, 'it does not come back');

  await opened(two, await made(one));
  await two.getByText('Details of 1 person were erased for good elsewhere. Taken in, the bundle erases them here too.').waitFor();
  await button(two, 'Take it in').tap();
  await said(two, '1 entry taken in.');
  const there = await details(two);
  assert.match(there, /Tom Reed/);
  assert.doesNotMatch(there, /Rosa/, 'it travels');
}));
