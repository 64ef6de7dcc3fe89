// The label that the app printed, held before the camera; and everything a hand may hold there instead.
import assert from 'node:assert/strict';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { reload, seat, shot, visit } from './harness/browser.mjs';
import { film } from './harness/camera.mjs';
import { atBarn, atShelf, button, chooser, field, link, pullClutch, shows, startByHand, title, toBox } from './harness/keeper.mjs';
import { jsqr } from './harness/readers.mjs';
import { site } from './harness/site.mjs';
import { square } from './harness/writer.mjs';

let server;
let dir;
let printed;

before(async () => {
  server = await site();
  dir = await mkdtemp(join(tmpdir(), 'candlemark-scan-'));
  printed = await printALabel();
});
after(async () => {
  await server?.stop();
  if (dir) await rm(dir, { recursive: true, force: true, maxRetries: 5, retryDelay: 100 });
});

/** A barn with one box, in a profile that stays; its label as the app prints it, and films of it. */
async function printALabel() {
  const profile = join(dir, 'profile');
  const open = await seat({ profile });
  try {
    const { page } = open;
    await visit(page, server.url);
    await startByHand(page);
    await pullClutch(page);
    const download = page.waitForEvent('download');
    await button(page, 'PNG 203 dpi').tap();
    const png = await readFile(await (await download).path());
    await toBox(page);
    const heading = await page.getByRole('heading', { level: 1 }).innerText();
    const code = (await shows(page)).match(/[0-9A-Z]{4}-[0-9A-Z]{4}-\S/)[0];
    const blank = join(dir, 'wall.mjpeg');
    await film(page, blank, [{ svg: '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><rect width="9" height="9" fill="#777"/></svg>' }]);
    const tilted = join(dir, 'label.mjpeg');
    await film(page, tilted, [-14, -6, 4, 15].map((turn) => ({ svg: held(png), width: 760, turn })));
    return { profile, heading, code, blank, tilted };
  } finally {
    await open.close();
  }
}

/** The label as a hand holds it: seen from the side and a little out of focus. */
function held(png) {
  const [width, height] = [png.readUInt32BE(16), png.readUInt32BE(20)];
  const picture = `<image width="${width}" height="${height}" href="data:image/png;base64,${png.toString('base64')}"/>`;
  return `<svg xmlns="http://www.w3.org/2000/svg" width="${width * 1.3}" height="${height}" viewBox="${-width * 0.15} 0 ${width * 1.3} ${height}">
    <filter id="b"><feGaussianBlur stdDeviation="1.1"/></filter>
    <g filter="url(#b)" transform="translate(${width / 2} ${height / 2}) skewX(9) scale(0.96 0.86) translate(${-width / 2} ${-height / 2})">${picture}</g></svg>`;
}

/** The scan page in the barn of the printed label. */
async function scanning(options, act) {
  const open = await seat({ profile: printed.profile, ...options });
  try {
    await visit(open.page, server.url, '#/scan');
    await act(open);
  } finally {
    await open.close();
  }
}

const typed = async (page, text) => {
  await field(page, /code under the square/).fill(text);
  await button(page, 'Open').tap();
};

test('the printed label, tilted and blurred before the camera, opens its box', () => scanning({ camera: printed.tilted }, async ({ page, faults }) => {
  await title(page, printed.heading).waitFor();
  const box = await shows(page);
  for (const told of [/Day 0/, /[Ll]ook from/, /likely/, /Fill to 1486 g/, /6 in/, /Not candled yet/]) assert.match(box, told);
  for (const act of ['Candle', 'Water', 'Pipped', 'Out', 'Move', 'Note']) await link(page, act).waitFor();
  await shot(page, 'scanned');
  assert.deepEqual(faults, []);
}));

test('a photo of the label from the gallery opens it too', () => scanning({ camera: printed.blank }, async ({ page }) => {
  const still = join(dir, 'still.mjpeg');
  await film(page, still, [{ svg: held(await labelPng(page)), width: 900, turn: 8 }]);
  await chooser(page, 'Read a photo of a label').setInputFiles({ name: 'photo.jpg', mimeType: 'image/jpeg', buffer: await readFile(still) });
  await title(page, printed.heading).waitFor();
}));

test('a photo of a shelf\'s label, or of a door\'s, opens the shelf or the room', () => atShelf(server, async ({ page }) => {
  await printedAndRead(page, /Shelf 1/);
  await visit(page, server.url, '#/place/new');
  await button(page, 'Room').tap();
  await field(page, 'Name').fill('Egg room');
  await button(page, 'Save').tap();
  await title(page, 'Egg room').waitFor();
  await printedAndRead(page, 'Egg room');
}));

/** From a place's page: its label, printed for a label printer, photographed askew, leads back to it. */
async function printedAndRead(page, name) {
  await link(page, 'Print label').tap();
  const download = page.waitForEvent('download');
  await button(page, 'PNG 203 dpi').tap();
  const png = await readFile(await (await download).path());
  assert.match(await jsqr(page, png), /#\/P\//);
  const photo = join(dir, 'place.mjpeg');
  await film(page, photo, [{ svg: held(png), width: 900, turn: -11 }]);
  await visit(page, server.url, '#/scan');
  await chooser(page, 'Read a photo of a label').setInputFiles({ name: 'photo.jpg', mimeType: 'image/jpeg', buffer: await readFile(photo) });
  await title(page, name).waitFor();
}

/** Prints the label again, from a tab of its own. */
async function labelPng(page) {
  const other = await page.context().newPage();
  await visit(other, server.url, `#/B/${printed.code.replaceAll('-', '').slice(0, 8)}`);
  await link(other, 'Label').tap();
  const download = other.waitForEvent('download');
  await button(other, 'PNG 203 dpi').tap();
  const png = await readFile(await (await download).path());
  await other.close();
  return png;
}

test('the camera refused: a sentence, and the typed code opens the box', () => scanning({}, async ({ page }) => {
  await page.getByRole('alert').filter({ hasText: /type the code below/ }).waitFor();
  await shot(page, 'scan-refused');
  await typed(page, printed.code.toLowerCase().replaceAll('-', ' '));
  await title(page, printed.heading).waitFor();
}));

test('a refusal by the keeper is told as one', () => scanning({}, async ({ context, page }) => {
  // The browser without a screen asks nobody: this is the answer that one with a screen gives after "Block".
  await context.addInitScript(() => {
    navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException('Permission denied', 'NotAllowedError'));
  });
  await reload(page);
  await page.getByRole('alert').filter({ hasText: 'The camera is not allowed for this page.' }).waitFor();
}));

test('codes mistyped, unknown and empty are answered in words', () => scanning({}, async ({ page }) => {
  const [, , check] = printed.code.split('-');
  const wrong = check === 'A' ? 'B' : 'A';
  for (const [text, sentence] of [
    [printed.code.slice(0, -1) + wrong, `The check letter should be ${check}, not ${wrong}`],
    [printed.code.slice(0, 4), 'A code has 8 characters and a check letter; this has 4'],
    [`${printed.code}77`, 'leave out what is too much'],
    ['', 'Type the code under the square'],
    ['7K3Q-X2M9-B', '7K3Q-X2M9-B is a valid code, but nothing here has it.'],
    [`u${printed.code.slice(1)}`, 'cannot be U'],
  ]) {
    await typed(page, text);
    await page.getByRole('status').filter({ hasText: sentence }).waitFor();
    await title(page, 'Scan').waitFor();
  }
}));

test('another barn\'s label shows what the label says', () => atBarn(server, {}, async ({ page, faults }) => {
  // The link that the label carries, followed on a phone without its records.
  const fields = await scannedLink();
  await visit(page, server.url, fields);
  await page.getByText('This label is not on this device.').waitFor();
  const said = await shows(page);
  for (const told of [/Laid \d+ \w+ · Day 0/, /Eggs 6/, /Look from/, /Fill to 1486 g/, /ask for a bundle/]) assert.match(said, told);
  assert.ok(said.includes(printed.code), said);
  await shot(page, 'another-barn');
  assert.deepEqual(faults, []);
}));

/** The fragment in the printed label's link, as an independent reader reads it. */
async function scannedLink() {
  let fragment;
  await scanning({ camera: printed.blank }, async ({ page }) => {
    fragment = new URL(await jsqr(page, await labelPng(page))).hash;
  });
  return fragment;
}

const SQUARES = [
  ['https://example.org/menu', 'a web address at example.org'],
  ['WIFI:T:WPA;S:barn;P:secret;;', 'a Wi-Fi network'],
];

test('links cut off, damaged or of no page are answered in words', () => atBarn(server, {}, async ({ page, faults }) => {
  for (const [fragment, sentence] of [
    ['#/B/', 'There is no such page.'],
    ['#/B/7K3Q', 'This label\'s link'],
    ['#/B/7K3Q!2M9', 'This link is not a label\'s link.'],
    ['#/Z/7K3QX2M9', 'This link is not a label\'s link.'],
    ['#/nowhere', 'There is no such page.'],
    ['#/box/7K3QX2M9', 'This box is not on this device.'],
    ['#/animal/7K3QX2M9', 'This animal is not on this device.'],
    ['#/clutch/7K3QX2M9', 'This clutch is not on this device.'],
    ['#/place/7K3QX2M9', 'This place is not on this device.'],
    ['#/label/filling/7K3QX2M9', 'There is no label for this'],
  ]) {
    await visit(page, server.url, fragment);
    await page.getByText(sentence).first().waitFor().catch(async () => assert.fail(`${fragment}: ${await shows(page)}`));
  }
  assert.deepEqual(faults, []);
}));

for (const [text, what] of SQUARES) {
  test(`a foreign square code is named and not followed: ${what}`, async () => {
    const camera = join(dir, `${what.length}.mjpeg`);
    await scanning({}, async ({ page }) => film(page, camera, [{ svg: (await square(text)).svg, width: 500, turn: 5 }]));
    await scanning({ camera }, async ({ page }) => {
      await page.getByRole('status').filter({ hasText: `This is not one of the barn's labels but ${what}. Nothing was opened.` }).waitFor();
      await title(page, 'Scan').waitFor();
    });
  });
}
