// Photos of animals, by taps: taken, another chosen for the lists, put right, taken back; fetched only as they come into sight,
// red at night, and on the other phone once a bundle brought them.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { fits } from './harness/access.mjs';
import { drawn, reload, shot, visit } from './harness/browser.mjs';
import { addPhoto, atBarn, bar, button, dayFrom, field, jpeg, link, loadSeason, said, shows, startByHand, title, toAnimal, undo, within } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { made, taken, twoPhones } from './harness/swap.mjs';
import { taps } from './harness/taps.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const still = { reducedMotion: 'reduce' };
const fit = (page, what) => fits(page, `faces-${what}`);
/** The pictures on the page that are really drawn. */
const shown = (page) => page.evaluate(() => [...document.querySelectorAll('.photo img')].filter((img) => img.naturalWidth > 0).length);
const until = (page, n) => page.waitForFunction((n) => [...document.querySelectorAll('.photo img')].filter((img) => img.naturalWidth > 0).length === n, n);

/** From now on counts what the page asks of the store of pictures, and which addresses it holds on to. */
async function watched(context) {
  const watch = () => {
    const get = IDBObjectStore.prototype.get;
    window.asked = { whole: 0, small: 0 };
    IDBObjectStore.prototype.get = function asked(key) {
      if (this.name === 'photos') window.asked[String(key).startsWith('small.') ? 'small' : 'whole'] += 1;
      return get.call(this, key);
    };
    window.held = new Set();
    const { createObjectURL, revokeObjectURL } = URL;
    URL.createObjectURL = (blob) => { const url = createObjectURL(blob); if (blob.type === 'image/jpeg') window.held.add(url); return url; };
    URL.revokeObjectURL = (url) => { window.held.delete(url); revokeObjectURL(url); };
  };
  await context.addInitScript(watch);
}

test('a photo in two taps; another is chosen for the lists, put right, taken back; a lost one leaves no hole', () => atBarn(server, still, async ({ context, page, faults }) => {
  await watched(context);
  await reload(page);
  await startByHand(page);
  await toAnimal(page, 'Bel');
  assert.equal(await page.locator('.face').count(), 0, 'nobody has a face yet');
  const counted = await taps(context);
  await counted.reset();
  await link(page, 'Photos').tap();
  await title(page, 'Photos of Bel').waitFor();
  await addPhoto(page, await jpeg('bel'));
  await said(page, 'Photo saved.');
  within('a photo of an animal', await counted.count(), 2);
  await page.getByRole('img', { name: /^Photo of Bel, today/ }).waitFor();
  await page.getByText('Shown in lists and on papers, as the newest').waitFor();
  await addPhoto(page, { name: 'notes.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('no picture at all') });
  await page.getByText(/^This file is not a picture/).first().waitFor();

  // One from another day, with a note; the newest stays the one in lists.
  await page.getByText('On another day, or with a note').tap();
  await button(page, 'Another day').tap();
  const day = page.locator('input[type=date]');
  await day.fill(await dayFrom(page, -40));
  await field(page, 'Note').fill('In shed.');
  await addPhoto(page, await jpeg('hazel-dull'));
  await said(page, 'Photo saved.');
  await page.getByText('In shed.').waitFor();
  await until(page, 2);
  await fit(page, 'photos');
  const before = await shows(page);
  await counted.reset();
  await button(page, /^Show this one in lists: /).tap();
  await said(page, 'Lists and papers show this one.');
  within('another photo for the lists', await counted.count(), 1);
  await page.getByText('Shown in lists and on papers', { exact: true }).waitFor();
  await undo(page, before);
  await button(page, /^Show this one in lists: /).tap();
  await button(page, 'Show the newest in lists').waitFor();

  // Put right, and taken back.
  await link(page, /^Correct: Photo, /).last().tap();
  await field(page, 'Note').fill('Dull, in shed.');
  await button(page, 'Save').tap();
  await title(page, 'Photos of Bel').waitFor();
  await page.getByText('Dull, in shed.').waitFor();
  await page.locator('a.back').tap();
  await link(page, 'Photos of Bel: 2').waitFor();
  await until(page, 1);
  await fit(page, 'animal');
  await link(page, 'Photos of Bel: 2').tap();
  await link(page, /^Correct: Photo, /).last().tap();
  await button(page, 'It did not happen: take it back').tap();
  await title(page, 'Photos of Bel').waitFor();
  await page.getByText('Dull, in shed.').waitFor({ state: 'detached' });
  await page.getByText('Shown in lists and on papers, as the newest').waitFor();
  await button(page, 'Undo').tap();
  await page.getByText('Dull, in shed.').waitFor();

  await bar(page, 'Animals').tap();
  await until(page, 1);
  assert.equal(await page.locator('.row .face img').evaluate((img) => img.naturalWidth), 192, 'a small one');
  await fit(page, 'list');
  await bar(page, 'Rounds').tap();
  await title(page, 'Rounds').waitFor();
  await page.waitForFunction(() => window.held.size === 0);

  // A picture that is not here, and one that is broken.
  const lay = (broken) => page.evaluate(async (broken) => {
    const done = (request) => new Promise((then, failed) => { request.onsuccess = () => then(request.result); request.onerror = () => failed(request.error); });
    const db = await done(indexedDB.open(`candlemark:${location.pathname.replace(/[^/]*$/, '')}barn`));
    const store = db.transaction('photos', 'readwrite').objectStore('photos');
    for (const key of await done(store.getAllKeys())) await done(broken ? store.put(new Blob(['torn'], { type: 'image/jpeg' }), key) : store.delete(key));
    db.close();
  }, broken);
  for (const broken of [true, false]) {
    await lay(broken);
    await bar(page, 'Animals').tap();
    await page.locator('.row .face[hidden]').waitFor({ state: 'attached' });
    assert.equal(await shown(page), 0);
    await toAnimal(page, 'Bel');
    await bar(page, 'Rounds').tap();
    await title(page, 'Rounds').waitFor();
  }
  await page.waitForFunction(() => window.held.size === 0);
  assert.deepEqual(faults.filter((fault) => !/blob:/.test(fault)), []);
}));

test('only what comes into sight is fetched, whole pictures once; papers have the face; at night it is red', () => atBarn(server, still, async ({ context, page, faults }) => {
  await watched(context);
  await reload(page);
  await loadSeason(page);
  await bar(page, 'Animals').tap();
  await title(page, 'Animals').waitFor();
  const rows = page.locator('.row .face');
  await rows.first().waitFor({ state: 'attached' });
  const faces = await rows.count();
  assert.ok(faces >= 5, `${faces} rows have a face`);
  const early = await page.evaluate(() => window.asked);
  assert.ok(early.small < faces, `${early.small} of ${faces} were asked for before anybody looked at them`);
  const look = async () => {
    for (let i = 0; i < faces; i += 1) {
      await rows.nth(i).scrollIntoViewIfNeeded();
      await rows.nth(i).locator('img').waitFor();
    }
    await until(page, faces);
  };
  await look();
  await bar(page, 'Rounds').tap();
  await page.waitForFunction(() => window.held.size === 0);
  await reload(page);
  await bar(page, 'Animals').tap();
  await rows.first().waitFor({ state: 'attached' });
  await look();
  const later = await page.evaluate(() => window.asked);
  assert.deepEqual(later, { whole: 0, small: faces }, 'made small once');

  // Known by an older one, chosen.
  await toAnimal(page, 'Hazel');
  await link(page, 'Photos of Hazel: 2').tap();
  await until(page, 2);
  await fit(page, 'season');
  await page.locator('a.back').tap();
  await title(page, 'Hazel').waitFor();
  const animal = await page.evaluate(() => location.hash);
  await visit(page, server.url, `${animal}/papers`);
  await page.getByRole('img', { name: /^Photo of Hazel, / }).waitFor();
  await until(page, 1);
  await fit(page, 'papers');

  await visit(page, server.url, '#/settings');
  await button(page, 'Night').tap();
  await visit(page, server.url, animal);
  await until(page, 1);
  await shot(page, 'faces-night');
  const picture = await page.locator('.about .face').screenshot();
  const light = await page.evaluate(async (bytes) => {
    const bitmap = await createImageBitmap(new Blob([Uint8Array.from(atob(bytes), (c) => c.charCodeAt(0))]));
    const pen = new OffscreenCanvas(bitmap.width, bitmap.height).getContext('2d');
    pen.drawImage(bitmap, 0, 0);
    const { data } = pen.getImageData(0, 0, bitmap.width, bitmap.height);
    let [most, other] = [0, 0];
    for (let i = 0; i < data.length; i += 4) {
      most = Math.max(most, data[i]);
      // What is nearly black is rounded to any colour.
      if (data[i] + data[i + 1] + data[i + 2] > 60) other = Math.max(other, (data[i + 1] + data[i + 2]) / Math.max(data[i], 1));
    }
    return { most, other };
  }, picture.toString('base64'));
  assert.ok(light.most > 40 && light.most < 200, `there, and dim: ${light.most}`);
  assert.ok(light.other < 0.75, `green and blue together are ${light.other.toFixed(2)} of the red`);
  assert.deepEqual(faults, []);
}));

test('a bundle brings the photo along, and the other phone makes its own small one', () => twoPhones(server, async ({ page: one }, { page: two }) => {
  await startByHand(one);
  await toAnimal(one, 'Bel');
  await link(one, 'Photos').tap();
  await addPhoto(one, await jpeg('marigold'));
  await said(one, 'Photo saved.');
  const bytes = await made(one);
  assert.equal(bytes.toString('latin1').split(/photos\/[0-9a-f]{64}\.jpg/).length - 1, 2, 'one picture: in its place and in the list of files');
  await taken(two, bytes, /entries taken in\.$/);
  await bar(two, 'Animals').tap();
  await until(two, 1);
  await toAnimal(two, 'Bel');
  await link(two, 'Photos of Bel: 1').tap();
  await two.getByRole('img', { name: /^Photo of Bel, / }).waitFor();
  await until(two, 1);
}));
