// Temperatures: loggers' files of two shapes, a plot that shows them, a set point from now on, figures learned from own
// hatches and overridden by hand, the season's strip.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { reload, shot } from './harness/browser.mjs';
import { addIncubator, atBarn, atShelf, bar, button, chooser, field, link, loadSeason, said, shows, showing, title } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const pad = (n) => String(n).padStart(2, '0');
/** The last `hours` full hours before today, oldest first. */
const past = (hours) => {
  const midnight = new Date();
  midnight.setHours(0, 0, 0, 0);
  return Array.from({ length: hours }, (_, i) => new Date(midnight.getTime() - (hours - i) * 3_600_000));
};
const day = (d) => `${pad(d.getDate())}/${pad(d.getMonth() + 1)}/${d.getFullYear()}`;
const clock = (d) => `${pad(d.getHours())}:${pad(d.getMinutes())}`;

/** Chooses a file that holds `text` and waits for what was understood. */
async function choose(page, name, text) {
  await chooser(page, /^Choose the file$|\.csv$/).setInputFiles({ name, mimeType: 'text/csv', buffer: Buffer.from(text) });
  await page.getByText('Read as:').waitFor();
}

test('loggers\' files: one that tells everything, one that leaves two things open; the same twice adds nothing', () => atBarn(server, {}, async ({ page, faults }) => {
  await addIncubator(page);
  await link(page, /^Shelf 1/).first().tap();
  await page.getByText('No reading yet.').waitFor();
  await link(page, 'Import logger data').tap();

  const hours = past(120);
  const rows = hours.map((d, i) => `${i + 1};${pad(d.getDate())}.${pad(d.getMonth() + 1)}.${d.getFullYear()};${clock(d)}:00;${i === 60 ? '31,5' : '27,8'};81,0`);
  const german = `Serial;A17\nNr;Datum;Zeit;Temperatur °C;Feuchte %\n${rows.join('\n')}\n121;31.02.2026;00:00:00;27,8;80\nEnd\n`;
  await choose(page, 'north.csv', german);
  await page.getByText('decimal comma, day before month, °C, “Temperatur °C”').waitFor();
  await page.getByText(/humidity from “Feuchte %”/).waitFor();
  await page.getByText(/^120 readings, .*27\.8–31\.5 °C, 81 % humidity$/).waitFor();
  await page.getByText('2 rows left out').tap();
  await page.getByText(/^Line 123 “31\.02\.2026 00:00:00” is no date and time/).waitFor();
  await shot(page, 'log', { fullPage: true });
  await button(page, 'Save these readings').tap();
  await said(page, '120 readings saved.');

  await title(page, 'Shelf 1').waitFor();
  const plot = page.getByRole('img', { name: /^Temperature over time/ });
  await plot.waitFor();
  assert.equal(await plot.locator('path.read').count(), 1);
  await button(page, 'As a table').tap();
  await showing(page, /27\.8–31\.5 °C readings 81 %/, 'the spike is in the table, and how damp it was');
  await shot(page, 'shelf', { fullPage: true });

  // The same file again, then one whose day and probe only the keeper knows: two readings of one morning, in °F.
  await link(page, 'Import logger data').tap();
  await choose(page, 'north.csv', german);
  await page.getByText('All of these readings are here already.').waitFor();
  assert.equal(await button(page, 'Save these readings').count(), 0);
  const one = new Date(hours[0].getFullYear() - 1, 4, 6, 8, 0);
  const open = `Time,left F,right F\n${day(one)} 08:00,82.04,80\n${day(one)} 09:00,81.5,80\n`;
  await choose(page, 'two.csv', open);
  await page.getByRole('group', { name: 'Which probe hangs here?' }).waitFor();
  await button(page, 'left F (82.04)').tap();
  await button(page, 'day before month').tap();
  await page.getByText(/^2 readings, .*27\.5–27\.8 °C$/).waitFor();
  await page.getByText(/6 May/).waitFor();
  await button(page, 'Save these readings').tap();
  await said(page, '2 readings saved.');
  assert.deepEqual(faults, []);
}));

test('humidity: none that cannot be, from a file or typed; put right', () => atShelf(server, async ({ page }) => {
  await link(page, 'Import logger data').tap();
  const [first, second] = past(2);
  const at = (d) => `${d.getFullYear()}-${pad(d.getMonth() + 1)}-${pad(d.getDate())} ${clock(d)}`;
  await choose(page, 'damp.csv', `time,celsius,RH\n${at(first)},27.8,47.5\n${at(second)},27.9,120\n`);
  await page.getByText(/^2 readings, .*, 47\.5 % humidity$/).waitFor();
  await page.getByText('In 1 row the humidity was left out: it was not from 0 to 100 %.').waitFor();
  await button(page, 'Save these readings').tap();
  await said(page, '2 readings saved.');
  await title(page, 'Shelf 1').waitFor();

  await field(page, 'Thermometer reading').fill('28.1');
  await page.getByText('Humidity too').tap();
  await field(page, 'Humidity, if it shows that').fill('101');
  await button(page, 'Save reading').tap();
  await page.locator('[aria-invalid=true]').first().waitFor();
  assert.equal(await field(page, 'Humidity, if it shows that').inputValue(), '101');
  await field(page, 'Humidity, if it shows that').fill('62.5');
  await button(page, 'Save reading').tap();
  await said(page, 'Reading saved');
  await page.getByText(/^62\.5 % humidity · /).waitFor();
  await shot(page, 'humidity', { fullPage: true });
  await page.getByText('Readings', { exact: true }).tap();
  await link(page, /^Correct: 28\.1 °C · 62\.5 % humidity/).tap();
  await field(page, 'Humidity, if it shows that').fill('');
  await button(page, 'Save').tap();
  await said(page, 'Corrected.');
  await title(page, 'Shelf 1').waitFor();
  await page.getByText(/^62\.5 % humidity · /).waitFor({ state: 'detached' });
}));

test('a hundred thousand readings come in with progress, and the page after them is there', () => atBarn(server, {}, async ({ page, faults }) => {
  await addIncubator(page);
  await link(page, /^Shelf 1/).first().tap();
  await link(page, 'Import logger data').tap();
  const start = Date.now() - 100_000 * 60_000;
  const rows = Array.from({ length: 100_000 }, (_, i) => {
    const d = new Date(start + i * 60_000);
    return `${d.getFullYear()}-${pad(d.getMonth() + 1)}-${pad(d.getDate())} ${clock(d)},${(27.8 + Math.sin(i / 700) * 0.6).toFixed(2)}`;
  });
  const progress = page.locator('progress').waitFor();
  await choose(page, 'year.csv', `time,celsius\n${rows.join('\n')}\n`);
  await progress;
  await page.getByText(/^\d{5,6} readings, /).waitFor({ timeout: 30_000 });
  await button(page, 'Save these readings').tap();
  await title(page, 'Shelf 1').waitFor();
  await page.getByRole('img', { name: /^Temperature over time/ }).waitFor();
  await reload(page);
  await page.getByRole('img', { name: /^Temperature over time/ }).waitFor();
  assert.deepEqual(faults, []);
}));

test('a set point from now on is told with its date; a correction is not', () => atBarn(server, {}, async ({ page, faults }) => {
  await addIncubator(page);
  await link(page, /^Shelf 1/).first().tap();
  await page.getByText('Change the set temperature').tap();
  await field(page, /^Set to/).fill('28.4');
  await button(page, 'Save').first().tap();
  await said(page, 'Hatch windows here follow.');
  await page.getByText(/^28\.4 °C since today .* · 27\.8 °C at first$/).waitFor();
  await button(page, 'Undo').tap();
  await said(page, 'Undone.');
  assert.equal(await page.getByText(/since today/).count(), 0);
  assert.deepEqual(faults, []);
}));

test('a reading, a set temperature and an incident are put right from the shelf\'s page', () => atShelf(server, async ({ page }) => {
  await field(page, 'Thermometer reading').fill('28.9');
  await page.getByText('Not just now?').first().tap();
  await button(page, 'Yesterday').first().tap();
  await button(page, 'Save reading').tap();
  await said(page, 'Reading saved');
  await page.getByText('Readings', { exact: true }).tap();
  await link(page, /^Correct: 28\.9 °C, yesterday/).tap();
  await field(page, 'What it showed').fill('82.6 F');
  await button(page, 'Save').tap();
  await said(page, 'Corrected.');
  await title(page, 'Shelf 1').waitFor();
  await page.getByText('28.1 °C', { exact: true }).first().waitFor();

  await page.getByText('Change the set temperature').tap();
  await field(page, /^Set to/).fill('28.4');
  await button(page, 'Save').first().tap();
  await said(page, 'Hatch windows here follow.');
  await page.getByText('Set to something else').tap();
  await link(page, /^Correct: 28\.4 °C since/).tap();
  await field(page, 'Set to').fill('28.6');
  await button(page, 'Save').tap();
  await said(page, 'Corrected.');
  await page.getByText(/^28\.6 °C since today .* · 27\.8 °C at first$/).waitFor();

  await page.getByText('Note an incident').tap();
  await page.getByRole('combobox', { name: 'What happened' }).fill('power cut');
  await page.locator('form').filter({ hasText: 'What happened' }).getByRole('button', { name: 'Save' }).tap();
  await said(page, 'Incident saved.');
  await page.getByText(/, not over yet$/).waitFor();
  await link(page, /^Correct: power cut/).tap();
  await page.getByLabel('Until, if it is over').check();
  await button(page, 'Save').tap();
  await said(page, 'Corrected.');
  await title(page, 'Shelf 1').waitFor();
  assert.equal(await page.getByText(/, not over yet$/).count(), 0);
}));

test('figures learned from own hatches are shown, scored, overridden and given back', () => atBarn(server, {}, async ({ page, faults }) => {
  await loadSeason(page);
  await bar(page, 'More').tap();
  await link(page, /^Species and their figures/).tap();
  await link(page, /^corn snake 9 of your clutches/i).tap();
  await page.getByText('9 of your clutches').waitFor();
  await page.getByText(/^Of 9 clutches, \d+ pipped inside the likely window/).waitFor();
  const score = page.getByRole('img', { name: /^Each past clutch against its window/ });
  assert.equal(await score.locator('circle.seen').count(), 9);
  await shot(page, 'species', { fullPage: true });
  const before = await shows(page);
  await page.getByText('Change these figures').tap();
  await field(page, /^Days from lay/).fill('70');
  await field(page, /^counted at/).fill('28');
  await field(page, /^Give or take/).fill('2');
  await field(page, /^Where these figures/).fill('the old book');
  await button(page, 'Save').first().tap();
  await said(page, 'Saved. Hatch windows follow.');
  await page.getByText(/your own: the old book/).first().waitFor();
  assert.notEqual(await shows(page), before);
  await button(page, 'Undo').tap();
  await said(page, 'Undone.');
  await page.waitForFunction(() => !document.querySelector('main').innerText.includes('the old book'));

  // The box's page says whose figures, and shows what its shelf did, cut and all.
  await bar(page, 'Boxes').tap();
  await link(page, /-08 /).first().tap();
  await page.getByText(/figures: 9 of your clutches/).waitFor();
  const plot = page.getByRole('img', { name: /^Temperature since laying/ });
  await plot.waitFor();
  assert.ok(await plot.locator('.cut').count() >= 1, 'the power cut');
  assert.equal(await plot.locator('path.grown').count(), 1);
  await shot(page, 'box-heat', { fullPage: true });

  await bar(page, 'More').tap();
  await link(page, /^Season/).first().tap();
  await page.getByRole('img', { name: /^Each clutch from laying/ }).waitFor();
  await shot(page, 'season', { fullPage: true });
  assert.deepEqual(faults, []);
}));
