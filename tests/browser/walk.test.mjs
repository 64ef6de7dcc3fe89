// Walking with the camera open, cameras that come and go, readers that type, and whatever else a label may hold.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { reload, seat, shot, visit } from './harness/browser.mjs';
import { violations } from './harness/access.mjs';
import { atBarn, bar, button, field, link, loadSeason, pick, pullClutch, said, shows, startByHand, title, toBox } from './harness/keeper.mjs';
import { hold, lens } from './harness/lens.mjs';
import { site } from './harness/site.mjs';
import { taps } from './harness/taps.mjs';
import { square } from './harness/writer.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

/** The season's barn with a camera that shows what it is told. Gives the boxes' ids by walking order. */
async function withCamera(options, act) {
  const open = await seat({ own: true });
  try {
    await lens(open.context, options);
    await visit(open.page, server.url);
    await loadSeason(open.page);
    await bar(open.page, 'Boxes').tap();
    // Rounds has links to boxes too, and goes.
    await title(open.page, 'Boxes').waitFor();
    await open.page.locator('a[href^="#/box/"]').first().waitFor();
    const links = await open.page.locator('a[href^="#/box/"]').evaluateAll((all) => all.map((a) => a.hash.split('/')[2]));
    await act(open, [...new Set(links)]);
  } finally {
    await open.close();
  }
}

/** The label of a box as any deployment might have printed it. */
const label = async (id, letter = 'B') => (await square(`HTTPS://ELSEWHERE.EXAMPLE/OLD/#/${letter}/${id}`)).svg;
const at = (page, walk) => page.evaluate((to) => { location.hash = to; }, `#/walk/${walk}`);
const last = (page, text) => page.getByRole('status').filter({ hasText: text }).first().waitFor();

test('candling a rack: one tap a box, undone from the same screen', () => withCamera({}, async ({ context, page, faults }, boxes) => {
  await bar(page, 'Scan').tap();
  await link(page, 'Walk with the camera open').tap();
  await link(page, /^Candle/).tap();
  await title(page, 'Candle').waitFor();
  const counter = await taps(context);
  for (const id of boxes.slice(0, 3)) {
    await hold(page, await label(id));
    await page.getByRole('button', { name: /^(All as last time|Veins in all)$/ }).tap();
    await last(page, /^Last: .*: (all as last time|veins in all)\./);
    await hold(page, null);
  }
  assert.equal(await counter.count(), 3, 'one tap a box');
  await page.getByText('3 done').waitFor();
  await shot(page, 'walk-candle');
  assert.deepEqual(await violations(page), []);
  await button(page, 'Undo').tap();
  await page.getByText('2 done').waitFor();
  assert.deepEqual(faults, []);
}));

test('water, moves and stock-taking go on by scanning', () => withCamera({}, async ({ page, faults }, boxes) => {
  await at(page, 'water');
  await hold(page, await label(boxes[0]));
  const sure = button(page, 'Save anyway');
  await field(page, 'The scale says').fill('90');
  await page.keyboard.press('Enter');
  await sure.waitFor();
  // Looking again finds the box and the reading as they were, the label still before the camera.
  await button(page, 'Go back').tap();
  await page.waitForTimeout(1_500);
  assert.equal(await field(page, 'The scale says').inputValue(), '90');
  await field(page, 'The scale says').fill('900');
  await page.keyboard.press('Enter');
  // So far from the fill-to mass that it asks first.
  await Promise.race([sure.waitFor(), last(page, /^Last: /)]);
  if (await sure.isVisible()) await sure.tap();
  await last(page, /^Last: .*Saved: 900 g/);
  await hold(page, null);

  const shelf = await otherShelf(page, boxes[1]);
  await at(page, 'move');
  await hold(page, await label(boxes[1]));
  await page.getByText(/now scan where to\.$/).waitFor();
  await hold(page, await label(shelf.id, 'P'));
  await last(page, new RegExp(`^Last: .* to ${shelf.name}\\.`));
  // A shelf's label still before the camera would begin a stock-taking of that shelf alone.
  await hold(page, null);

  await at(page, 'stock');
  const told = () => page.getByText(/^\d+ of \d+ boxes seen$/).innerText();
  await page.getByText(/^0 of \d+ boxes seen$/).waitFor();
  const all = Number((await told()).match(/of (\d+)/)[1]);
  for (const [i, id] of boxes.slice(0, 2).entries()) {
    await hold(page, await label(id));
    await page.getByText(`${i + 1} of ${all} boxes seen`).waitFor();
  }
  await page.getByText(`${all - 2} boxes were not seen`).tap();
  assert.equal(await page.locator('details a.row').count(), all - 2);
  await shot(page, 'walk-stock');

  // Left and come back to, even by another start of the app: what was seen is seen.
  await hold(page, null);
  await bar(page, 'Boxes').tap();
  await title(page, /Boxes/).waitFor();
  await at(page, 'stock');
  await page.getByText(`2 of ${all} boxes seen`).waitFor();
  await reload(page);
  await page.getByText(`2 of ${all} boxes seen`).waitFor();
  await button(page, 'Write it down').tap();
  await last(page, `Last: Stock taken: 2 boxes seen, ${all - 2} not.`);
  await page.getByText(/^Last taken .*; not seen: /).waitFor();
  await visit(page, server.url, '#/daybook');
  await page.getByText(`Stock taken: 2 boxes seen, ${all - 2} not`).waitFor();
  assert.deepEqual(faults, []);
}));

test('what is in the hand stays there while the day of its move is missing', () => withCamera({}, async ({ page, faults }, boxes) => {
  const shelf = await otherShelf(page, boxes[1]);
  await at(page, 'move');
  await page.getByText('Not just now?').tap();
  await button(page, 'Another day').tap();
  const day = page.locator('input[type="date"]');
  const chosen = await day.inputValue();
  await day.fill('');
  await hold(page, await label(boxes[1]));
  await page.getByText(/now scan where to\.$/).waitFor();
  await hold(page, await label(shelf.id, 'P'));
  await page.locator('[role="alert"]:visible').first().waitFor();
  await page.getByText(/now scan where to\.$/).waitFor();
  await hold(page, null);
  await day.fill(chosen);
  // A label held before the lens all the while is read once; this one comes back.
  await page.waitForTimeout(2500);
  await hold(page, await label(shelf.id, 'P'));
  await last(page, new RegExp(`^Last: .* to ${shelf.name}\\.`));
  assert.deepEqual(faults, []);
}));

/** A shelf that the box does not stand at, from the page that moves it. */
async function otherShelf(page, box) {
  await visit(page, server.url, `#/places`);
  await page.locator('a[href^="#/place/"]').first().waitFor();
  await visit(page, server.url, `#/box/${box}/move`);
  const free = page.locator('button.row:not([disabled])').first();
  const name = (await free.locator('.title').innerText()).trim();
  await visit(page, server.url, '#/places');
  const parts = name.split(', ');
  const incubator = page.locator('a[href^="#/place/"]').filter({ hasText: parts[0] }).first();
  const [, , outer] = (await incubator.getAttribute('href')).split('/');
  await visit(page, server.url, `#/place/${outer}`);
  const shelf = page.locator('a[href^="#/place/"]').filter({ hasText: parts.at(-1) }).first();
  return { name, id: (await shelf.getAttribute('href')).split('/')[2] };
}

test('meals, tub by tub', () => atBarn(server, {}, async ({ page, faults }) => {
  await startByHand(page);
  await visit(page, server.url, '#/animals');
  const bel = await page.getByRole('link', { name: /^Bel/ }).first().getAttribute('href');
  const id = bel.split('/')[2];
  await visit(page, server.url, '#/walk/meals');
  await title(page, 'Meals').waitFor();
  await typedByReader(page, `HTTPS://A.EXAMPLE/#/T/${id}`);
  await button(page, 'Refused').tap();
  await last(page, 'Last: Bel: refused.');
  await typedByReader(page, `HTTPS://A.EXAMPLE/#/A/${id}`);
  await button(page, 'Ate').tap();
  await last(page, 'Last: Bel: ate.');
  await page.getByText('2 done').waitFor();
  assert.deepEqual(faults.filter((fault) => !/camera/i.test(fault)), []);
}));

test('a camera taken away, hidden and shown, and the second lens, which is remembered', () => withCamera({ lenses: ['wide', 'near'] }, async ({ page, faults }, boxes) => {
  await bar(page, 'Scan').tap();
  const live = () => page.evaluate(() => window.lens.stream?.getVideoTracks()[0].readyState);
  const asked = () => page.evaluate(() => window.lens.asked);
  await button(page, 'Lens 1 of 2').tap();
  await button(page, 'Lens 2 of 2').waitFor();
  assert.deepEqual(await asked(), [null, 'near']);

  await page.evaluate(() => window.lens.stream.getVideoTracks()[0].dispatchEvent(new Event('ended')));
  await page.getByRole('alert').filter({ hasText: 'The phone took the camera away.' }).waitFor();
  await button(page, 'Try the camera again').tap();
  await page.getByRole('alert').waitFor({ state: 'detached' });

  const show = (hidden) => page.evaluate((hidden) => {
    Object.defineProperty(document, 'hidden', { configurable: true, get: () => hidden });
    document.dispatchEvent(new Event('visibilitychange', { bubbles: true }));
  }, hidden);
  await show(true);
  await page.waitForFunction(() => window.lens.stream.getVideoTracks()[0].readyState === 'ended');
  const before = (await asked()).length;
  await show(false);
  await page.waitForFunction((n) => window.lens.asked.length > n, before);
  assert.equal(await live(), 'live');

  await reload(page);
  await button(page, 'Lens 2 of 2').waitFor();
  assert.deepEqual(await asked(), ['near']);
  // A browser lets the picture of a page stand that it takes for hidden, also while it is loaded.
  await page.evaluate(() => document.querySelector('video').pause());
  await hold(page, await label(boxes[0]));
  await page.waitForFunction((id) => location.hash === `#/box/${id}`, boxes[0]);
  // The page that has no use for the camera has let it go.
  assert.equal(await live(), 'ended');
  assert.deepEqual(faults, []);
}));

/** As a reader on a cable types: a label in one go, then Enter, five milliseconds apart however busy the machine is. */
async function typedByReader(page, text) {
  await page.evaluate((keys) => {
    const start = performance.now();
    keys.forEach((key, n) => {
      const event = new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true });
      Object.defineProperty(event, 'timeStamp', { value: start + 5 * n });
      document.activeElement.dispatchEvent(event);
    });
  }, [...text, 'Enter']);
}

test('a reader that types opens the box from any page, labels of any age and address', () => atBarn(server, {}, async ({ page, faults }) => {
  await startByHand(page);
  await pullClutch(page);
  const id = new URL(page.url()).hash.split('/').at(-1);
  // With its check symbol, as it stands under the square: without, any goods' number of eight signs would be a code.
  await toBox(page);
  const code = (await shows(page)).match(/[0-9A-Z]{4}-[0-9A-Z]{4}-\S/)[0];
  assert.equal(code.replaceAll('-', '').slice(0, -1), id);
  const here = await page.evaluate(() => location.origin + location.pathname);
  // What the app has printed since its first version, and what a later one may print.
  for (const text of [
    `${here.toUpperCase()}#/B/${id}`,
    `HTTPS://BARN.EXAMPLE/#/B/${id}.6RG1.6T746.9.KNG.EH8.26-014`,
    `https://barn.example/candlemark/#/b/${id.toLowerCase()}`,
    `HTTPS://OLD.EXAMPLE/Some/Folder/#/B/${id}.6RG`,
    `HTTPS://BARN.EXAMPLE/#/B/${id}.*2.SOMETHING.NEW.999`,
    `HTTPS://BARN.EXAMPLE/#/B/${id}.!!.??`,
    code,
    code.replaceAll('-', '').toLowerCase(),
  ]) {
    await page.evaluate(() => { location.hash = '#/settings'; });
    await title(page, 'Settings').waitFor();
    await typedByReader(page, text);
    await page.waitForFunction((id) => location.hash === `#/box/${id}`, id, { timeout: 5000 })
      .catch(async () => assert.fail(`${text}: ${await shows(page)}`));
  }
  // Into a field it is typed like anything else, and a hand's typing is no label.
  await page.evaluate(() => { location.hash = '#/settings'; });
  const name = page.getByRole('textbox').first();
  await name.focus();
  await page.keyboard.type(id);
  assert.ok((await name.inputValue()).endsWith(id));
  await title(page, 'Settings').tap();
  await page.evaluate(() => document.activeElement.blur());
  await page.keyboard.type(id, { delay: 130 });
  await page.keyboard.press('Enter');
  await title(page, 'Settings').waitFor();
  assert.deepEqual(faults, []);
}));

test('foreign and hostile texts are named and never followed', () => atBarn(server, {}, async ({ context, page, faults, requests }) => {
  await startByHand(page);
  await page.evaluate(() => { location.hash = '#/settings'; });
  await title(page, 'Settings').waitFor();
  await page.evaluate(() => { window.here = true; });
  const opened = [];
  context.on('page', (other) => opened.push(other.url()));
  const before = requests.length;
  for (const [text, told] of [
    ['javascript:window.here=false', 'a “javascript” link'],
    ['data:text/html,<script>window.here=false</script>', 'a “data” link'],
    ['https://evil.example/#/settings', 'a web address at evil.example'],
    ['https://barn.example@evil.example/steal?x=1', 'a web address at evil.example'],
    ['<img src=x onerror="window.here=false">', 'the text “<img src=x onerror='],
    ['file:///etc/passwd', 'a “file” link'],
    ['intent://scan/#Intent;scheme=zxing;end', 'a “intent” link'],
    [`HTTPS://A.EXAMPLE/#/B/${'7'.repeat(1500)}`, 'a web address at a.example'],
    ['HTTPS://A.EXAMPLE/#/B/7K3QX2', 'This label\'s link'],
    ['7K3QX2M9', 'the text “7K3QX2M9”'],
    ['x'.repeat(1900), `the text “${'x'.repeat(32)}…”`],
  ]) {
    await typedByReader(page, text);
    await said(page, told)
      .catch(async () => assert.fail(`${text.slice(0, 60)}: ${await page.locator('body').innerText()}`));
    assert.equal(new URL(page.url()).hash, '#/settings', text.slice(0, 60));
  }
  assert.ok(await page.evaluate(() => window.here));
  assert.deepEqual(opened, []);
  assert.deepEqual(requests.slice(before).filter((url) => !url.startsWith(new URL(server.url).origin)), []);
  assert.deepEqual(faults, []);
}));
