// Two phones that only swap bundles hold the same records in the end; what comes in is said first and can go again.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { Decrypter, Encrypter } from 'age-encryption';
import { kept, reload, seat, visit } from './harness/browser.mjs';
import { addAnimal, bar, button, field, link, said, title, toAnimal } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { bundles, file, handedOver, made, opened, opener, state, taken, twoPhones } from './harness/swap.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

async function recode(page, name, code) {
  await toAnimal(page, name);
  await link(page, 'Edit').tap();
  await field(page, 'Code').fill(code);
  await button(page, 'Save').tap();
  await title(page, new RegExp(`^${name}`)).waitFor();
}

test('a new phone set up from a bundle; both write on; a difference is settled once and stays settled', () => twoPhones(server, async ({ page: one }, { page: two }) => {
  await addAnimal(one, 'Bel', 'B07');
  await addAnimal(one, 'Moss', 'M02');
  await taken(two, await made(one), '2 entries taken in.');
  assert.equal(await state(two), await state(one));

  // Each writes on, and both change the same thing.
  await recode(one, 'Bel', 'B-1');
  await recode(two, 'Bel', 'B-2');
  await addAnimal(two, 'Ash', 'A01');
  await opened(one, await made(two));
  await one.getByText('2 entries new, 2 here already.').waitFor();
  await one.getByText(/^1 entry differs: written on two devices/).waitFor();
  await one.getByText('Records before and after').tap();
  await one.getByRole('row', { name: 'Animals 2 3' }).waitFor();
  await button(one, 'Take it in').tap();
  await said(one, '2 entries taken in.');
  await bar(one, 'Rounds').tap();
  await one.getByText('Bel: two different entries. Which is right?').waitFor();
  await button(one, /^B-2/).tap();
  await said(one, 'Settled: code B-2.');

  // What the other lacks is enough to make them equal.
  const answer = await made(one, /^What .* is missing$/);
  await taken(two, answer, '2 entries taken in.');
  assert.equal(await state(two), await state(one));
  await bar(two, 'Rounds').tap();
  await title(two, 'Rounds').waitFor();
  assert.equal(await two.getByText('two different entries').count(), 0);

  // The same bundle again brings nothing.
  await opened(two, answer);
  await two.getByText(/^Nothing new/).waitFor();
}));

test('before a bundle is taken in nothing changes; afterwards one tap goes back, and one forth', () => twoPhones(server, async ({ page: one }, { page: two }) => {
  await addAnimal(one, 'Bel', 'B07');
  const bytes = await made(one);
  const all = await state(one);
  await bundles(two);
  const empty = await state(two);

  const broken = Buffer.from(bytes);
  broken[Math.floor(bytes.length / 2)] ^= 0xff;
  for (const [what, expected] of [
    [Buffer.from('animal,code\nBel,B07\n'), /not a bundle/],
    [bytes.subarray(0, 1000), /damaged or was cut off/],
    [broken, /damaged|altered|does not belong|cannot be read/],
  ]) {
    await opener(two).setInputFiles(file(what));
    await two.getByRole('alert').getByText(expected).waitFor();
    assert.equal(await state(two), empty);
  }

  await opener(two).setInputFiles(file(bytes));
  await button(two, 'Leave it').tap();
  assert.equal(await state(two), empty);
  await taken(two, bytes, '1 entry taken in.');
  assert.equal(await state(two), all);
  await button(two, /^Take it back out: /).tap();
  await said(two, 'Taken back out. Its entries are kept and can be taken back in.');
  assert.equal(await state(two), empty);
  await reload(two);
  await button(two, /^Take back in: /).tap();
  await said(two, 'Taken back in.');
  assert.equal(await state(two), all);
  await toAnimal(two, 'Bel');
}));

const PHRASE = 'grey kettle under nine apples';

test('locked with a passphrase: another program opens it, the app opens another program\'s, and a wrong one costs nothing', () => twoPhones(server, async ({ page: one }, { page: two }) => {
  const part = (page, name) => page.getByRole('region', { name, exact: true });
  const phrase = (page, name) => part(page, name).getByLabel(/^Passphrase/);
  await addAnimal(one, 'Bel', 'B07');
  await bundles(one);
  await one.getByLabel('Lock it with a passphrase').check();
  await button(one, 'Make a bundle').tap();
  await one.getByRole('alert').getByText(/^Type the passphrase first/).waitFor();
  await phrase(one, 'Make a bundle').fill(PHRASE);
  assert.equal(await phrase(one, 'Make a bundle').getAttribute('type'), 'password');
  await part(one, 'Make a bundle').getByLabel('Show it').check();
  assert.equal(await phrase(one, 'Make a bundle').getAttribute('type'), 'text');
  await button(one, 'Make a bundle').tap();
  await one.getByText(/^The bundle is ready: .*, locked\.$/).waitFor();
  const locked = await handedOver(one, /^barn-\d{4}-\d\d-\d\d\.zip\.age$/);
  const decrypter = new Decrypter();
  decrypter.addPassphrase(PHRASE);
  const inside = Buffer.from(await decrypter.decrypt(locked));
  assert.equal(inside.subarray(0, 2).toString(), 'PK');

  await opened(two, locked);
  const empty = await state(two);
  await two.getByRole('alert').getByText('This bundle is locked: type its passphrase.').waitFor();
  await phrase(two, 'Open a bundle').fill('grey kettle');
  await button(two, 'Unlock').tap();
  await two.getByRole('alert').getByText(/^This passphrase does not open it/).waitFor();
  assert.equal(await state(two), empty);
  await phrase(two, 'Open a bundle').fill(PHRASE);
  await button(two, 'Unlock').tap();
  await two.getByText(/^1 entry new/).waitFor();
  await button(two, 'Take it in').tap();
  await said(two, '1 entry taken in.');
  assert.equal(await state(two), await state(one));

  // The same by the other program, and one cut off on the way.
  const encrypter = new Encrypter();
  encrypter.setPassphrase(PHRASE);
  encrypter.setScryptWorkFactor(16);
  const theirs = Buffer.from(await encrypter.encrypt(inside));
  for (const [bytes, expected] of [[theirs.subarray(0, theirs.length - 1), /^The passphrase is right, but the file is damaged/], [theirs, /^Nothing new/]]) {
    await opener(two).setInputFiles(file(bytes, 'barn.zip.age'));
    await phrase(two, 'Open a bundle').fill(PHRASE);
    await button(two, 'Unlock').tap();
    await two.getByText(expected).waitFor();
  }
}));

test('a file shared with the installed app waits on the page for bundles', () => twoPhones(server, async ({ page: one }, { page: two }) => {
  await addAnimal(one, 'Bel', 'B07');
  const bytes = await made(one);
  await kept(two);
  // What the system does when a file is shared with an installed app.
  await two.evaluate(async (text) => {
    const form = new FormData();
    form.append('bundle', new File([Uint8Array.from(atob(text), (c) => c.charCodeAt(0))], 'barn.zip'));
    await fetch('./share', { method: 'POST', body: form });
  }, bytes.toString('base64'));
  await visit(two, server.url, '#/bundles/shared');
  await two.getByText(/^A file was handed to Candlemark/).waitFor();
  assert.equal(await laid(two), true, 'nothing is fetched before the tap');
  await button(two, 'Look at it').tap();
  await two.getByText(/^1 entry new/).waitFor();
  assert.equal(await laid(two), false);
}));

/** Whether a handed-over file lies with the service worker. */
const laid = (page) => page.evaluate(async () => {
  const name = (await caches.keys()).find((name) => name.startsWith('candlemark-shared '));
  return !!name && (await (await caches.open(name)).keys()).length > 0;
});

test('a file that another site handed over is thrown away unread, and one too large is refused', () => twoPhones(server, async ({ page }) => {
  await visit(page, server.url);
  await kept(page);
  const post = (size) => page.evaluate(async (size) => {
    const form = new FormData();
    form.append('bundle', new File([new Uint8Array(size)], 'stranger.zip'));
    await fetch('./share', { method: 'POST', body: form });
  }, size);
  await post(20);
  assert.equal(await laid(page), true);
  await visit(page, server.url, '#/bundles/shared');
  await button(page, 'Throw it away').tap();
  await page.getByText(/^Thrown away/).waitFor();
  await page.waitForFunction(async () => !(await caches.keys()).some((name) => name.startsWith('candlemark-shared ')));
  assert.equal(new URL(page.url()).hash, '#/bundles');
  assert.equal(await button(page, 'Take it in').count(), 0);

  await post(512 * 2 ** 20 + 1);
  await visit(page, server.url, '#/bundles/shared');
  await button(page, 'Look at it').tap();
  await page.getByText(/^The file is too large to be opened here/).waitFor();
  // A form without a file, as a text of that name.
  await page.evaluate(() => fetch('./share', { method: 'POST', body: new URLSearchParams({ bundle: 'text' }) }));
  assert.equal(await laid(page), false);
}));

test('killed while bundles are taken in: each is there whole, or not at all', async () => {
  const one = await seat();
  const two = await seat();
  try {
    await visit(one.page, server.url);
    await visit(two.page, server.url);
    let { page } = two;
    const states = new Set([await (async () => { await bundles(page); return state(page); })()]);
    for (let turn = 0; turn < 5; turn += 1) {
      await addAnimal(one.page, `Bel${turn}`, `B0${turn}`);
      await addAnimal(one.page, `Moss${turn}`, `M0${turn}`);
      const bytes = await made(one.page);
      states.add(await state(one.page));
      await opened(page, bytes);
      await button(page, 'Take it in').waitFor();
      const died = page.waitForEvent('crash');
      const wire = await two.context.newCDPSession(page);
      await button(page, 'Take it in').tap();
      // A little later each time.
      for (let beat = 0; beat < turn; beat += 1) await page.evaluate(() => new Promise(requestAnimationFrame));
      wire.send('Page.crash').catch(() => { /* it never answers */ });
      await died;
      page = await two.context.newPage();
      await visit(page, server.url, '#/bundles');
      const found = await state(page);
      assert.ok(states.has(found), `turn ${turn}: ${found} is no state the first phone ever had`);
    }
    await taken(page, await made(one.page), /taken in|Nothing new/);
    assert.equal(await state(page), await state(one.page));
  } finally {
    await one.close();
    await two.close();
  }
});
