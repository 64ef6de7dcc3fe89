// A barn's spreadsheet brought in by a keeper's taps, from the empty first page: what the sheet does not tell is asked once,
// equal cells are put right together, every row is shown before anything is saved, and one tap takes all of it back. Then
// everything taken out as spreadsheets, changed, and brought back.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { after, before, test } from 'node:test';
import { fits, violations } from './harness/access.mjs';
import { shot } from './harness/browser.mjs';
import { atBarn, button, chooser, link, loadSeason, pick, said, showing, shows, title, within } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { taps } from './harness/taps.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const still = { reducedMotion: 'reduce' };
const choose = (page, text, name = 'barn.csv') =>
  chooser(page, /^Choose (the CSV|another) file$/).setInputFiles({ name, mimeType: 'text/csv', buffer: Buffer.isBuffer(text) ? text : Buffer.from(text) });
const group = (page, name) => page.getByRole('group', { name });
const rows = (page) => page.getByRole('listitem');
const bring = (page, n) => button(page, `Import ${n} ${n === 1 ? 'row' : 'rows'}`);

const BARN = [
  'Animals of the barn;;;;;;;;',
  ';;;;;;;;',
  'Code;Name;Art;Geschlecht;DOB;Mother;Father;Weight (g);Location;Notes',
  'Y01;Ash;corn;f;5/3/24;B07;M02;310;Rack 1 / 3;eats well',
  'B07;Bel;Kornnatter;0.1;1/7/21;;;1.240;Rack 1 / 10;',
  'M02;Moss;corn;m;2020;;;980,5;Rack 1 / 2;',
  'D01;Drake;Dragon;m;;;;;;',
  'D02;Dot;Dragon;f;;;;;;',
].join('\r\n');

test('a barn from a spreadsheet, from the empty first page', () => atBarn(server, still, async ({ context, page, faults }) => {
  const counted = await taps(context);
  await link(page, 'Import a spreadsheet').tap();
  await title(page, 'Import a spreadsheet').waitFor();
  await shot(page, 'sheet-empty', { fullPage: true });
  // As an older spreadsheet writes it.
  await choose(page, Buffer.from(BARN, 'latin1'));
  await page.getByText('What the columns are: all 10 known').tap();
  await showing(page, /1 row above the headings left out/);
  for (const [head, of] of [['Code: Y01', 'code'], ['Art: corn', 'species'], ['Mother: B07', 'dam'], ['Location: Rack 1 / 3', 'place']]) {
    assert.equal(await pick(page, head).inputValue(), of, head);
  }
  await fits(page, 'sheet-columns');
  await shot(page, 'sheet-columns', { fullPage: true });

  // The month and the day are asked once, for all of the column.
  await showing(page, /1 row comes in, 4 do not/);
  await counted.reset();
  await group(page, 'DOB: “5/3/24” is').getByRole('button', { name: '3 May 2024' }).tap();
  await showing(page, /3 rows come in, 2 do not/);
  // Both dragons at once.
  await page.getByRole('heading', { name: '“Dragon” in 2 rows, the first is row 7' }).waitFor();
  await shot(page, 'sheet-unclear', { fullPage: true });
  assert.deepEqual(await violations(page), []);
  await pick(page, 'Art: read “Dragon” as').selectOption('python-regius');
  await showing(page, /5 rows come in\./);
  await button(page, 'Leave these rows out').tap();
  await showing(page, /3 rows come in\./);
  await showing(page, /Row 4 · Ash · Y01 corn snake · female · born 3 May 2024 · dam Bel · B07 · sire Moss · M02 · 310 g on .* · Rack 1, 3 \(new\)/);
  await showing(page, /born 2020/);
  await shot(page, 'sheet-rows', { fullPage: true });
  await bring(page, 3).tap();
  await said(page, '3 rows imported.');
  // The month, a species opened and chosen, rows left out, Bring in.
  within('a sheet', await counted.count(), 5);
  await title(page, 'Animals').waitFor();
  for (const name of ['Ash', 'Bel', 'Moss']) await link(page, new RegExp(name)).first().waitFor();
  // One tap takes all of it back: animals, weights, places.
  await button(page, 'Undo').first().tap();
  await showing(page, /Nobody|No animals|Add an animal|first animal/i);
  assert.deepEqual(faults, []);
}));

test('what is no sheet is told, and headings are remembered', () => atBarn(server, still, async ({ page, faults }) => {
  await link(page, 'Import a spreadsheet').tap();
  await choose(page, Buffer.from([0x50, 0x4b, 3, 4, 0, 0]), 'barn.xlsx');
  await page.getByRole('alert').filter({ hasText: 'Save the sheet as CSV' }).waitFor();
  await shot(page, 'sheet-refused');
  await choose(page, 'Ref,Called\nA1,Ann\n');
  await showing(page, /0 rows come in, 1 does not/);
  await pick(page, 'Ref: A1').selectOption('code');
  await pick(page, 'Called: Ann').selectOption('name');
  await bring(page, 1).tap();
  await said(page, '1 row imported.');
  await page.goto(page.url().replace(/#.*/, '#/sheet'));
  await choose(page, 'Called,Ref\nBea,B2\nAnn,A1\n');
  await page.getByText('What the columns are: all 2 known').tap();
  assert.equal(await pick(page, 'Called: Bea').inputValue(), 'name');
  assert.equal(await pick(page, 'Ref: B2').inputValue(), 'code');
  await showing(page, /Row 3 · Ann · A1 is here already; nothing changes/);
  await bring(page, 1).waitFor();
  // Nothing was saved by looking.
  await page.goBack();
  assert.doesNotMatch(await shows(page), /Bea/);
  assert.deepEqual(faults, []);
}));

test('all records are taken out as spreadsheets, and a changed one comes back', () => atBarn(server, still, async ({ page, faults }) => {
  await loadSeason(page);
  await page.goto(page.url().replace(/#.*/, '#/bundles'));
  const [download] = await Promise.all([page.waitForEvent('download'), button(page, 'Export everything as CSV').tap()]);
  const path = await download.path();
  const names = execFileSync('python3', ['-c', 'import sys,zipfile;print("\\n".join(zipfile.ZipFile(sys.argv[1]).namelist()))', path]).toString().split('\n');
  assert.ok(names.includes('animals.csv') && names.includes('meals.csv'), names.join(' '));
  const animals = execFileSync('python3', ['-c', 'import sys,zipfile;sys.stdout.buffer.write(zipfile.ZipFile(sys.argv[1]).read("animals.csv"))', path]).toString();
  assert.ok(animals.startsWith('\ufeffCode,Name,Species,Sex'), animals.slice(0, 80));
  await link(page, 'Import a spreadsheet').tap();
  await choose(page, animals.replace(/,Bel,/, ',Bellis,'));
  await showing(page, /1 row comes in\./);
  await showing(page, /Bellis · \S+ changes name/);
  await shot(page, 'sheet-changed', { fullPage: true });
  await bring(page, 1).tap();
  await said(page, '1 row imported.');
  await showing(page, /Bellis/);
  assert.deepEqual(faults, []);
}));

test('two thousand animals: shown while they are read, brought in, undone', () => atBarn(server, still, async ({ page, faults }) => {
  await link(page, 'Import a spreadsheet').tap();
  const line = (n) => `K${n},Animal ${n},corn,${n % 2 ? 'f' : 'm'},2021-07-01,${n > 2 ? 'K1' : ''},${200 + n},Rack ${1 + n % 40} / ${1 + Math.floor(n / 40)}`;
  const all = ['Code,Name,Species,Sex,Born,Dam,Weight (g),Place', ...Array.from({ length: 2000 }, (_, n) => line(n + 1))];
  await choose(page, all.join('\n'));
  await bring(page, 2000).waitFor();
  await bring(page, 2000).tap();
  await said(page, '2000 rows imported.');
  await button(page, 'Undo').first().tap();
  await said(page, /undone|Undone/i);
  assert.deepEqual(faults, []);
}));
