// A lost phone: what a finder can read is said; people's details lie locked where the keeper wants it, and the key that
// signs for the device gives its secret to nobody.
import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { after, before, test } from 'node:test';
import { reload, visit } from './harness/browser.mjs';
import { again, atBarn, bar, button, field, link, said, shows, title } from './harness/keeper.mjs';
import { somebody, wishes } from './harness/people.mjs';
import { details } from './harness/records.mjs';
import { site } from './harness/site.mjs';
import { bundles, handedOver, made, opened, taken, twoPhones } from './harness/swap.mjs';

const FIRST = 'grey kettle under nine apples';
const SECOND = 'slow lantern beside seven gates';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

async function settings(page) {
  await bar(page, 'More').tap();
  await link(page, /^Settings/).tap();
  await title(page, 'Settings').waitFor();
}

const typed = (page, label) => page.getByLabel(label, { exact: true }).and(page.locator('input'));
const shown = (page, name) => page.waitForFunction(
  (name) => [...document.querySelectorAll('input')].some((input) => input.value === name), name,
);

async function locked(page, passphrase) {
  await settings(page);
  await button(page, "Lock people's details").tap();
  await page.getByText(/^Nobody can bring the details back without the passphrase/).waitFor();
  await page.getByLabel(/^New passphrase/).fill(passphrase);
  await typed(page, 'The same again').fill(`${passphrase}s`);
  await button(page, "Lock people's details").tap();
  await page.getByRole('alert').getByText(/^The two are not the same/).waitFor();
  await typed(page, 'The same again').fill(passphrase);
  await button(page, "Lock people's details").tap();
  await said(page, "People's details are stored locked from now on.");
}

async function unlocked(page, passphrase) {
  await button(page, 'Unlock').tap();
  await typed(page, 'Passphrase').fill(passphrase);
  await button(page, 'Unlock').tap();
}

/** What lies under a key of `meta`: its text, or what is known of a key that signs. */
const meta = (page, key) => page.evaluate(async (key) => {
  const done = (request) => new Promise((then, failed) => {
    request.onsuccess = () => then(request.result);
    request.onerror = () => failed(request.error);
  });
  const db = await done(indexedDB.open(`candlemark:${location.pathname.replace(/[^/]*$/, '')}barn`));
  const value = await done(db.transaction('meta').objectStore('meta').get(key));
  db.close();
  if (!(value instanceof CryptoKey)) return value ?? null;
  const out = await Promise.all(['raw', 'pkcs8', 'jwk'].map((format) => crypto.subtle.exportKey(format, value).then(() => format, () => 'refused')));
  return { type: value.type, extractable: value.extractable, uses: value.usages, out };
}, key);

/** How many people's details a bundle holds: each file's name stands twice in an archive. */
const carried = (bytes) => bytes.toString('latin1').split(/people\/[0-9a-f]{64}\.json/).length >> 1;

test('details lie locked, open with the passphrase alone, and shut again when nobody looks', () => atBarn(server, {}, async ({ page, faults }) => {
  await somebody(page, 'P-001', 'Rosalind Marsh');
  await settings(page);
  await page.getByText('read names, addresses and notes of people outside the barn', { exact: true }).waitFor();
  await page.getByText(/^Other pages of the same web address share this storage/).waitFor();
  await locked(page, FIRST);
  await page.getByText(/^not read names, addresses and notes/).waitFor();
  assert.doesNotMatch(await details(page), /Rosalind|third farm/);
  assert.match(await details(page), /BEGIN AGE ENCRYPTED FILE/);
  // Whoever gave the passphrase sees them still.
  await wishes(page);
  await link(page, 'P-001 · Rosalind Marsh').tap();
  await shown(page, 'Rosalind Marsh');
  // What is noted now is locked too.
  await field(page, 'Name').fill('Rosa Marsh');
  await button(page, 'Save').tap();
  await said(page, 'Saved.');
  assert.doesNotMatch(await details(page), /Rosa/);

  await again(page, 'P-001');
  await button(page, 'Unlock').waitFor();
  assert.equal(await field(page, 'Name').count(), 0);
  // Saving what can be seen, the mark, loses nothing of what cannot.
  await field(page, 'Reference').fill('P-011');
  await button(page, 'Save').tap();
  await said(page, 'Saved.');
  await unlocked(page, 'grey kettle under nine apple');
  await page.getByRole('alert').getByText(/^This passphrase does not open it/).waitFor();
  await typed(page, 'Passphrase').fill(FIRST);
  await button(page, 'Unlock').tap();
  await shown(page, 'Rosa Marsh');
  await shown(page, 'P-011');

  // Out of sight for a short while it stays open, for a long while not.
  const away = (minutes) => page.evaluate((minutes) => {
    const now = Date.now;
    Date.now = () => now() + minutes * 60_000;
    document.dispatchEvent(new Event('visibilitychange'));
  }, minutes);
  await away(4);
  await shown(page, 'Rosa Marsh');
  assert.equal(await button(page, 'Unlock').count(), 0);
  await away(6);
  await button(page, 'Unlock').waitFor();
  assert.equal(await field(page, 'Name').count(), 0);
  assert.doesNotMatch(await shows(page), /Rosa/);
  assert.deepEqual(faults, []);
}));

test('another passphrase counts from then on, and without one all lies open as before', () => atBarn(server, {}, async ({ page, faults }) => {
  await somebody(page, 'P-001', 'Rosalind Marsh');
  const before = await details(page);
  await locked(page, FIRST);
  await button(page, 'Change the passphrase').tap();
  await typed(page, 'Passphrase now').fill(SECOND);
  await page.getByLabel(/^New passphrase/).fill(SECOND);
  await typed(page, 'The same again').fill(SECOND);
  await button(page, 'Change the passphrase').tap();
  await page.getByRole('alert').getByText(/^This passphrase does not open it/).waitFor();
  await typed(page, 'Passphrase now').fill(FIRST);
  await button(page, 'Change the passphrase').tap();
  await said(page, 'The new passphrase counts from now on.');

  await again(page, 'Settings');
  await unlocked(page, FIRST);
  await page.getByRole('alert').getByText(/^This passphrase does not open it/).waitFor();
  await typed(page, 'Passphrase').fill(SECOND);
  await button(page, 'Unlock').tap();
  await button(page, 'Lock now').tap();
  await button(page, 'Unlock').waitFor();
  await button(page, 'Take the passphrase off').tap();
  await typed(page, 'Passphrase now').fill(SECOND);
  await button(page, 'Take the passphrase off').tap();
  await said(page, "People's details are stored open from now on.");
  await button(page, 'Unlock').waitFor({ state: 'detached' });
  assert.equal(await details(page), before);
  assert.equal(await meta(page, 'people-lock'), null);
  assert.deepEqual(faults, []);
}));

test('a bundle made while locked carries no details; what one brings is locked as it comes', () => twoPhones(server, async ({ page: one }, { page: two }) => {
  await somebody(one, 'P-001', 'Rosalind Marsh');
  await taken(two, await made(one), '2 entries taken in.');
  await locked(one, FIRST);
  await again(one, 'Settings');
  await bundles(one);
  await one.getByText(/^People's details are locked: a bundle made now carries none/).waitFor();
  assert.equal(await one.getByRole('group', { name: /^Details of/ }).count(), 0);
  assert.equal(carried(await made(one)), 0);
  // The rescue page, which knows no passphrase, gives them out as they lie, with what opens them.
  await one.goto(`${server.url}rescue.html`);
  await one.getByText(/^Details of 1 person outside the barn, locked with a passphrase/).waitFor();
  const given = async (people) => {
    await one.getByLabel(/Names and addresses of people/).setChecked(people);
    await button(one, 'Everything as it lies here').tap();
    await said(one, /^The file is ready/);
    const arrives = one.waitForEvent('download');
    await link(one, /^Save barn-as-it-lies/).tap();
    return readFile(await (await arrives).path(), 'utf8');
  };
  const all = JSON.parse(await given(true)).stores;
  assert.match(all.people[0][1], /^-----BEGIN AGE ENCRYPTED FILE-----/);
  assert.match(all.meta.find(([key]) => key === 'people-lock')[1], /BEGIN AGE ENCRYPTED FILE/);
  assert.doesNotMatch(await given(false), /BEGIN AGE ENCRYPTED FILE/);
  await visit(one, server.url);

  await somebody(two, 'P-002', 'Tom Reed');
  await bundles(two);
  await two.getByRole('group', { name: 'Details of 1 person' }).getByRole('button', { name: 'All', exact: true }).tap();
  await button(two, 'Make a bundle').tap();
  const brings = await handedOver(two, /\.zip$/);
  assert.equal(carried(brings), 1);
  await taken(one, brings, '2 entries taken in.');
  assert.doesNotMatch(await details(one), /Tom Reed|Rosalind/);
  assert.equal(JSON.parse(await details(one)).length, 2);

  await bundles(one);
  await unlocked(one, FIRST);
  await one.getByRole('group', { name: 'Details of 2 people' }).waitFor();
  await wishes(one);
  await link(one, 'P-002 · Tom Reed').waitFor();
  await link(one, 'P-001 · Rosalind Marsh').waitFor();
}));

test('a new device signs with a key that no page gets the secret of, and another device believes it', () => twoPhones(server, async ({ page: one }, { page: two }) => {
  await somebody(one, 'P-001', 'Rosalind Marsh');
  const me = JSON.parse(await meta(one, 'me'));
  assert.equal(me.secret, undefined);
  assert.match(me.key, /^[0-9a-f]{64}$/);
  const key = await meta(one, `key.${me.dev}`);
  assert.deepEqual(key, { type: 'private', extractable: false, uses: ['sign'], out: ['refused', 'refused', 'refused'] });
  await again(one, 'P-001');
  await opened(two, await made(one));
  await button(two, 'Take it in').waitFor();
  assert.doesNotMatch(await shows(two), /Not verified/);
  await button(two, 'Take it in').tap();
  await said(two, '2 entries taken in.');
  const { signed } = JSON.parse(await meta(two, 'exchange'));
  assert.equal(signed[me.dev].count, 2);
  // The next one too, from where the first ended.
  await somebody(one, 'P-002', 'Tom Reed');
  await taken(two, await made(one), '2 entries taken in.');
  assert.equal(JSON.parse(await meta(two, 'exchange')).signed[me.dev].count, 4);
}));

test('where the browser has no such keys, 32 bytes sign as before', () => twoPhones(server, async (first, { page: two }) => {
  const { context, page: one } = first;
  await context.addInitScript(() => {
    SubtleCrypto.prototype.generateKey = () => Promise.reject(new DOMException('no such keys', 'NotSupportedError'));
  });
  await reload(one);
  await somebody(one, 'P-001', 'Rosalind Marsh');
  const me = JSON.parse(await meta(one, 'me'));
  assert.equal(me.secret.length, 32);
  assert.equal(me.key, undefined);
  await taken(two, await made(one), '2 entries taken in.');
  assert.equal(JSON.parse(await meta(two, 'exchange')).signed[me.dev].count, 2);
}));
