// What a veterinarian ordered, by taps: noted, ticked off on Rounds, missed, left out, put right, ended. Who is set apart:
// noted, asked about before it is moved, let out.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { fits } from './harness/access.mjs';
import { atBarn, bar, button, dayFrom, field, link, loadSeason, pick, said, shows, showing, startByHand, title, toAnimal, undo, within } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { taps } from './harness/taps.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const fit = (page, what) => fits(page, `care-${what}`);

test('a treatment from the order to its end', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ context, page, faults }) => {
  await startByHand(page);
  await toAnimal(page, 'Bel');
  const counted = await taps(context);
  await counted.reset();
  await link(page, 'Treatment').tap();
  await title(page, 'New treatment: Bel').waitFor();
  await fit(page, 'treat');
  await field(page, 'What was ordered').fill('Drops');
  await field(page, 'How much, and how').fill('one, left eye');
  await field(page, 'A dose every').fill('1');
  await page.getByLabel('Last day', { exact: true }).fill(await dayFrom(page, 3));
  await button(page, 'Save').tap();
  await title(page, 'Bel: Drops').waitFor();
  // Treatment, four fields, Save.
  within('a treatment noted', await counted.count(), 6);
  await showing(page, /Due today · 0 of 4 given/);
  await fit(page, 'treatment');

  await bar(page, 'Rounds').tap();
  const due = page.getByText('Drops · one, left eye: due today');
  await due.waitFor();
  const before = await shows(page);
  await counted.reset();
  await button(page, 'Given: Bel').tap();
  await said(page, 'Dose saved.');
  within('a dose ticked off on Rounds', await counted.count(), 1);
  await due.waitFor({ state: 'detached' });
  await undo(page, before);
  await button(page, 'Given: Bel').tap();
  await said(page, 'Dose saved.');

  // Whoever gives it a second time is asked first.
  await bar(page, 'More').tap();
  await link(page, /^Treatments and quarantine/).tap();
  await fit(page, 'list');
  await link(page, 'Bel').tap();
  await button(page, 'Dose given').tap();
  await page.getByRole('alertdialog').getByText(/given already on .* Note another dose anyway\?/).waitFor();
  await button(page, 'Go back').tap();
  await showing(page, /Next tomorrow · 1 of 4 given/);

  // Noted on the wrong day.
  await link(page, /^Correct: Given/).tap();
  await page.getByLabel('Happened on', { exact: true }).fill(await dayFrom(page, -1));
  await button(page, 'Save').tap();
  await said(page, 'Corrected.');
  await title(page, 'Bel: Drops').waitFor();

  // The order itself: begun the day before, and one dose was missed since.
  await link(page, 'Edit').tap();
  await page.getByLabel('First dose on', { exact: true }).fill(await dayFrom(page, -2));
  await button(page, 'Save').tap();
  // A dose is noted by the times that stood: asked once.
  await page.getByRole('alertdialog').getByText(/would be counted by the new times/).waitFor();
  await button(page, 'Save anyway').tap();
  await said(page, 'Treatment saved.');
  await showing(page, /Due today · 1 of 6 given · 1 dose missed/);
  await button(page, 'Left out on purpose').tap();
  await said(page, 'Left out: saved.');
  await showing(page, /1 of 6 given · 1 left out · 1 dose missed/);
  const open = await shows(page);
  await button(page, 'End it').tap();
  await said(page, 'Treatment ended.');
  await button(page, 'End it').waitFor({ state: 'detached' });
  await undo(page, open);
  await fit(page, 'treatment-later');
  assert.deepEqual(faults, []);
}));

test('what cannot be read is said at its field, and nothing is lost', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ page, faults }) => {
  await startByHand(page);
  await toAnimal(page, 'Moss');
  await link(page, 'Treatment').tap();
  await field(page, 'A dose every').fill('often');
  await button(page, 'Save').tap();
  await page.getByText('A dose every: “often” is not a whole number.').first().waitFor();
  assert.equal(await field(page, 'A dose every').inputValue(), 'often');
  await button(page, 'every so many hours').tap();
  await field(page, 'A dose every').fill('12');
  await field(page, 'What was ordered').fill('Paste');
  await button(page, 'Save').tap();
  await title(page, 'Moss: Paste').waitFor();
  await showing(page, /every 12 hours .* until the veterinarian says so/i);
  assert.deepEqual(faults, []);
}));

test('the season has one that goes on, with a dose missed', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ page, faults }) => {
  await loadSeason(page);
  await page.getByText(/Paste from the practice .*: due today; 1 dose missed before/).waitFor();
  await toAnimal(page, 'Cricket');
  await showing(page, /due today · 3 of 10 given · 1 dose missed/);
  await fit(page, 'animal');
  assert.deepEqual(faults, []);
}));

test('an animal is set apart, asked about when it is moved, and let out', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ context, page, faults }) => {
  await loadSeason(page);
  await toAnimal(page, 'Bel');
  const free = await shows(page);
  const counted = await taps(context);
  await counted.reset();
  await link(page, 'Set apart').tap();
  await title(page, 'Quarantine: Bel').waitFor();
  await fit(page, 'apart-new');
  await field(page, 'Why').fill('Came back from a loan.');
  await page.getByLabel('Last day apart', { exact: true }).fill(await dayFrom(page, 30));
  await button(page, 'Save').tap();
  await said(page, 'Quarantine saved.');
  // Set apart, why, until when, Save.
  within('an animal set apart', await counted.count(), 4);
  await fit(page, 'apart');

  await toAnimal(page, 'Bel');
  await link(page, /^Quarantine until /).waitFor();
  await button(page, 'Move').tap();
  await pick(page, 'Where to').selectOption({ index: 1 });
  await button(page, 'Save').tap();
  await page.getByRole('alertdialog').getByText(/Bel is in quarantine until .*\. Do it anyway\?/).waitFor();
  await button(page, 'Go back').tap();

  await bar(page, 'More').tap();
  await link(page, /^Treatments and quarantine/).tap();
  await link(page, /^Bel\b.*until/).tap();
  await button(page, 'Let it out').tap();
  // Before its last day: asked once.
  await button(page, 'Save anyway').tap();
  await said(page, 'Quarantine ended.');
  await title(page, 'Bel').waitFor();
  assert.equal(await shows(page), free, 'she is as she was');
  assert.deepEqual(faults, []);
}));

test('a quarantine whose last day has come stands on Rounds', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ page, faults }) => {
  await startByHand(page);
  await toAnimal(page, 'Moss');
  await link(page, 'Set apart').tap();
  await page.getByLabel('Last day apart', { exact: true }).fill(await dayFrom(page, 0));
  await button(page, 'Save').tap();
  await said(page, 'Quarantine saved.');
  await bar(page, 'Rounds').tap();
  await page.getByText(/Quarantine: due to end today\. Let it out, or keep going\?/).waitFor();
  await showing(page, /in quarantine: last/);
  await link(page, 'Open: Moss').tap();
  await button(page, 'Let it out').tap();
  await said(page, 'Quarantine ended.');
  await bar(page, 'Rounds').tap();
  await page.getByText(/Quarantine: the last day/).waitFor({ state: 'detached' });
  assert.deepEqual(faults, []);
}));

test('the same ordered for several, and several set apart', () => atBarn(server, { reducedMotion: 'reduce' }, async ({ context, page, faults }) => {
  await startByHand(page);
  await bar(page, 'Animals').tap();
  await link(page, 'Several at once').tap();
  const counted = await taps(context);
  await counted.reset();
  await button(page, /^Tick all/).tap();
  await fit(page, 'many');
  await button(page, 'Treatment').tap();
  await field(page, 'What was ordered').fill('Tub washed out');
  await button(page, 'Save').tap();
  await said(page, 'Treatment saved.');
  // Tick all, Treatment, what, Save.
  within('a treatment of several noted', await counted.count(), 4);
  await button(page, /^Tick all/).tap();
  await button(page, 'Set apart').tap();
  await field(page, 'Why').fill('Mites.');
  await button(page, 'Save').tap();
  await said(page, 'Quarantine saved.');
  await bar(page, 'Rounds').tap();
  for (const name of ['Bel', 'Moss']) await button(page, `Given: ${name}`).waitFor();
  await showing(page, /in quarantine: last/);
  assert.deepEqual(faults, []);
}));
