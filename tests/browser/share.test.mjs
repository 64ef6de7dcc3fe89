// Devices that agree by themselves through a web folder of somebody else's server (Debian's apache2), with a proxy before it that fails
// when it is told to.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { Decrypter } from 'age-encryption';
import { gunzipSync } from 'node:zlib';
import { drawn, seat, visit } from './harness/browser.mjs';
import { bar, button, field, link, said, title } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { PASSWORD, USER, store } from './harness/store.mjs';
import { bundles, state } from './harness/swap.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const origin = () => new URL(server.url).origin;
const password = (page, name) => page.locator('input[type=password]').and(page.getByLabel(name));

async function animal(page, name, code) {
  await bar(page, 'Animals').tap();
  await link(page, 'Add an animal').first().tap();
  await field(page, 'Name').fill(name);
  await field(page, 'Code').fill(code);
  await button(page, 'Save').tap();
  await title(page, new RegExp(`^${name}`)).waitFor();
}

async function share(page) {
  await bundles(page);
  await link(page, /^Keep devices in step/).tap();
  await title(page, 'Keep devices in step').waitFor();
}

/** Fills in where the store is, and tries it. */
async function tried(page, place, given = PASSWORD) {
  await share(page);
  await field(page, 'Address').fill(place.address);
  await field(page, 'User').fill(USER);
  await password(page, 'Password').fill(given);
  await button(page, 'Try it').tap();
  await page.getByText('Reach it and list it').waitFor();
}

async function begun(page, place) {
  await tried(page, place);
  await button(page, 'Keep in step from now on').tap();
  await inStep(page);
}

const inStep = (page) => page.getByText(/^In step(,| and)/).first().waitFor();

/** The text that the code on the screen says too. */
async function invitation(page) {
  await share(page);
  await page.getByText('Let another device in').tap();
  await page.getByRole('img', { name: 'The invitation as a code' }).waitFor();
  return page.getByRole('textbox', { name: 'Invitation' }).inputValue();
}

async function joined(page, text) {
  await page.goto(text);
  await button(page, 'Join this barn').tap();
  await inStep(page);
}

/** Both look until they show the same. */
async function agreed(...pages) {
  const states = async () => {
    const all = [];
    for (const page of pages) {
      await share(page);
      await button(page, 'Look now').tap();
      await inStep(page);
      await bundles(page);
      all.push(await state(page));
    }
    return all;
  };
  for (let tries = 0; ; tries++) {
    const all = await states();
    if (new Set(all).size === 1) return;
    assert.ok(tries < 10, `they differ: ${all.join(', ')}`);
  }
}

/** Runs `act` with a store and so many phones; nothing asks any server but the app's and the store. */
async function barn(phones, act) {
  const place = await store(origin());
  const seats = [];
  try {
    for (let n = 0; n < phones; n++) seats.push(await seat());
    for (const { page } of seats) await visit(page, server.url);
    await act(place, ...seats);
    for (const { requests, faults } of seats) {
      const elsewhere = requests.filter((url) => ![origin(), place.origin].includes(new URL(url).origin) && !url.startsWith('blob:') && !url.startsWith('data:'));
      assert.deepEqual(elsewhere, []);
      // The browser tells of each answer that is not a good one; that of a store may be one.
      assert.deepEqual(faults.filter((fault) => !fault.includes(place.origin)), []);
    }
  } finally {
    for (const open of seats) await open.close();
    await place.stop();
  }
}

test('a store is tried step by step, and each answer says what to do', () => barn(1, async (place, { page }) => {
  await share(page);
  await button(page, 'Try it').tap();
  await page.getByText('Address: begin it with https://').waitFor();
  await tried(page, place, 'brown kettle');
  await page.getByText('not allowed: check user, password and rights').waitFor();
  assert.equal(await button(page, 'Keep in step from now on').count(), 0);
  // What is typed anew is not tried yet.
  await password(page, 'Password').fill(PASSWORD);
  await page.getByText('Reach it and list it').waitFor({ state: 'detached' });
  place.fails = 'gone';
  await button(page, 'Try it').tap();
  await page.getByText('no answer that this browser may read').waitFor();
  await page.getByText('Apache', { exact: true }).tap();
  await page.getByText(`Access-Control-Allow-Origin "${origin()}"`).waitFor();
  place.fails = 507;
  await button(page, 'Try it').tap();
  await page.getByText('no room, or the file is too large for it').waitFor();
  place.fails = null;
  await button(page, 'Try it').tap();
  await page.getByText('It works. Nothing of your records has left yet.').waitFor();
  assert.deepEqual(await place.files(), [], 'what was tried is gone');
}));

test('two phones agree by themselves; a third has the whole barn from one code', () => barn(3, async (place, { page: one }, { page: two }, { page: three }) => {
  await animal(one, 'Bel', 'B07');
  await begun(one, place);
  const text = await invitation(one);
  await joined(two, text);
  // The code does not stay in the address.
  assert.match(new URL(two.url()).hash, /^#\/share/);
  await bar(two, 'Animals').tap();
  await link(two, /^Bel/).first().waitFor();
  await animal(two, 'Ash', 'A01');
  await agreed(one, two);
  await bar(one, 'Animals').tap();
  await link(one, /^Ash/).first().waitFor();
  // What came can be undone here, and that goes back.
  await joined(three, text);
  await animal(three, 'Moss', 'M02');
  await agreed(one, two, three);

  // Who runs the store reads nothing, and any age program with the key reads all.
  const objects = await place.holds();
  assert.ok(objects.length > 4);
  for (const bytes of objects) {
    assert.ok(bytes.subarray(0, 21).toString() === 'age-encryption.org/v1', 'each is sealed');
    for (const word of ['Bel', 'B07', 'animal']) assert.equal(bytes.includes(word), false);
  }
  const inside = Buffer.from(text.split('#/join/')[1], 'base64url');
  const { k: key } = JSON.parse(inside.subarray(1, -4));
  const opener = new Decrypter();
  opener.addIdentity(key);
  const plain = [];
  for (const bytes of objects) plain.push(gunzipSync(await opener.decrypt(bytes)).toString());
  assert.ok(plain.some((text) => text.includes('"Bel"')));
}));

test('without a network acts wait and then go; a changed password is said; a page loaded anew goes on', () => barn(2, async (place, { page: one }, { page: two }) => {
  await animal(one, 'Bel', 'B07');
  await begun(one, place);
  await joined(two, await invitation(one));
  place.fails = 'gone';
  await animal(two, 'Ash', 'A01');
  await share(two);
  await button(two, 'Look now').tap();
  await two.getByText(/^No answer from the shared folder.*1 entry to send\.$/).first().waitFor();
  place.fails = 401;
  await button(two, 'Look now').tap();
  await two.getByText(/^The shared folder does not let this device in/).first().waitFor();
  await bar(two, 'Rounds').tap();
  await link(two, /^The shared folder does not let this device in/).waitFor();
  place.fails = null;
  await two.reload();
  await drawn(two);
  await agreed(one, two);
  await bar(one, 'Animals').tap();
  await link(one, /^Ash/).first().waitFor();
}));

test('of two tabs one shares, and the other goes on when it is closed', () => barn(1, async (place, { page, context }) => {
  await animal(page, 'Bel', 'B07');
  await begun(page, place);
  const other = await context.newPage();
  await visit(other, server.url);
  await share(other);
  await other.getByText('Another tab of the app keeps this device in step.').first().waitFor();
  // What is entered in one goes out by the other.
  const before = (await place.files()).length;
  await animal(other, 'Ash', 'A01');
  for (let tries = 0; (await place.files()).length === before; tries++) {
    assert.ok(tries < 120, 'it never left');
    await new Promise((done) => setTimeout(done, 500));
  }
  await page.close();
  await share(other);
  await inStep(other);
}));

test('a lost phone: a new key, and the others follow by one code', () => barn(2, async (place, { page: one }, { page: two }) => {
  await animal(one, 'Bel', 'B07');
  await begun(one, place);
  const old = await invitation(one);
  await one.getByText('A device was lost').tap();
  await button(one, 'Lock with a new key').tap();
  await said(one, 'Locked with a new key.');
  await inStep(one);
  const text = await invitation(one);
  assert.notEqual(text, old);
  await animal(one, 'Ash', 'A01');
  await joined(two, text);
  await agreed(one, two);
  await button(two, 'Stop on this device').count();
  await share(two);
  await two.getByText('Stop on this device').first().tap();
  await button(two, 'Stop on this device').tap();
  await said(two, 'This device is no longer kept in step.');
  await field(two, 'Address').waitFor();
  // Its records stay.
  await bar(two, 'Animals').tap();
  await link(two, /^Ash/).first().waitFor();
}));

test('a phone with records of another barn is not joined, and says what to do', () => barn(2, async (place, { page: one }, { page: two }) => {
  await animal(one, 'Bel', 'B07');
  await begun(one, place);
  await animal(two, 'Fern', 'F01');
  await two.goto(await invitation(one));
  await button(two, 'Join this barn').tap();
  await two.getByText(/this device has records of another barn/).waitFor();
  // An invitation that was cut short is told from none.
  await share(two);
  const text = await invitation(one);
  await field(two, 'Invitation').fill(text.slice(0, -9));
  await button(two, 'Read it').tap();
  await two.getByText('The invitation is not all there. Copy it again, to its end.').waitFor();
}));
