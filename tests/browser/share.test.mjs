// Devices that agree by themselves through a web folder of somebody else's server (Debian's apache2), with a proxy before it that fails
// when it is told to.
import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { after, before, test } from 'node:test';
import { Decrypter } from 'age-encryption';
import { gunzipSync } from 'node:zlib';
import { reload, seat, visit } from './harness/browser.mjs';
import { addAnimal, addPhoto, bar, button, chooser, field, jpeg, link, said, title, toAnimal } from './harness/keeper.mjs';
import { somebody, toSomebody } from './harness/people.mjs';
import { details } from './harness/records.mjs';
import { agreed, begun, inStep, invitation, joined, keptInStep, password, share, tried } from './harness/share.mjs';
import { site } from './harness/site.mjs';
import { PASSWORD, bucket, store } from './harness/store.mjs';
import { bundles, file, made, opener, taken } from './harness/swap.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const origin = () => new URL(server.url).origin;

/** Runs `act` with a store and so many phones; nothing asks any server but the app's and the store. */
async function barn(phones, act, made = () => store(origin())) {
  const place = await made();
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
  await page.getByText(/^Nothing answered at this address/).waitFor();
  await page.getByText('All of that is so: for whoever runs the server').tap();
  await page.getByText(`Access-Control-Allow-Origin "${origin()}"`).waitFor();
  place.fails = 507;
  await button(page, 'Try it').tap();
  await page.getByText('no room, or the file is too large for it').waitFor();
  place.fails = null;
  // One that has no place on the server is told; one that is only not there yet is made.
  await field(page, 'Address').fill(`${place.address}/no/such`);
  await button(page, 'Try it').tap();
  await page.getByText(/there is no such folder on the server, and no place to make it/).waitFor();
  await field(page, 'Address').fill(`${place.address}/barn`);
  await button(page, 'Try it').tap();
  await page.getByText('It works. Nothing of your records has left yet.').waitFor();
  assert.deepEqual(await place.files(), [], 'what was tried is gone');
}));

test('two phones agree by themselves; a third has the whole barn from one code', () => barn(3, async (place, { page: one }, { page: two }, { page: three }) => {
  await addAnimal(one, 'Bel', 'B07');
  await begun(one, place);
  const text = await invitation(one);
  await joined(two, text);
  // The code does not stay in the address.
  assert.match(new URL(two.url()).hash, /^#\/share/);
  await bar(two, 'Animals').tap();
  await link(two, /^Bel/).first().waitFor();
  await addAnimal(two, 'Ash', 'A01');
  await agreed(one, two);
  await bar(one, 'Animals').tap();
  await link(one, /^Ash/).first().waitFor();
  // By the same as a file, too.
  await share(one);
  await one.getByText('Let another device in').tap();
  const arrives = one.waitForEvent('download');
  await button(one, 'Save it as a file').tap();
  const download = await arrives;
  assert.equal(download.suggestedFilename(), 'barn-invitation.txt');
  await share(three);
  const file = chooser(three, 'Open its file');
  await file.setInputFiles({ name: 'other.txt', mimeType: 'text/plain', buffer: Buffer.from('a shopping list') });
  await three.getByText(/^That is not an invitation\./).waitFor();
  await file.setInputFiles({ name: 'barn-invitation.txt', mimeType: 'text/plain', buffer: await readFile(await download.path()) });
  await button(three, 'Join this barn').tap();
  await inStep(three);
  await addAnimal(three, 'Moss', 'M02');
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
  for (const bytes of objects) {
    const open = Buffer.from(await opener.decrypt(bytes));
    // A spare copy is a bundle, which is packed already.
    plain.push(open.subarray(0, 2).toString() === 'PK' ? '' : gunzipSync(open).toString());
  }
  assert.ok(plain.some((text) => text.includes('"Bel"')));
}));

test('without a network acts wait and then go; a changed password is said; a page loaded anew goes on', () => barn(2, async (place, { page: one }, { page: two }) => {
  await addAnimal(one, 'Bel', 'B07');
  await begun(one, place);
  await joined(two, await invitation(one));
  place.fails = 'gone';
  await addAnimal(two, 'Ash', 'A01');
  await share(two);
  await button(two, 'Look now').tap();
  await two.getByText(/^No answer from the shared folder.*1 entry to send\.$/).first().waitFor();
  place.fails = 401;
  await button(two, 'Look now').tap();
  await two.getByText(/^The shared folder does not let this device in/).first().waitFor();
  await bar(two, 'Rounds').tap();
  await link(two, /^The shared folder does not let this device in/).waitFor();
  place.fails = null;
  await reload(two);
  await agreed(one, two);
  await bar(one, 'Animals').tap();
  await link(one, /^Ash/).first().waitFor();
}));

test('of two tabs one shares, and the other goes on when it is closed', () => barn(1, async (place, { page, context }) => {
  await addAnimal(page, 'Bel', 'B07');
  await begun(page, place);
  const other = await context.newPage();
  await visit(other, server.url);
  await share(other);
  await other.getByText('Another tab of the app keeps this device in step.').first().waitFor();
  // What is entered in one goes out by the other.
  const before = (await place.files()).length;
  await addAnimal(other, 'Ash', 'A01');
  for (let tries = 0; (await place.files()).length === before; tries++) {
    assert.ok(tries < 120, 'it never left');
    await new Promise((done) => setTimeout(done, 500));
  }
  await page.close();
  await share(other);
  await inStep(other);
  // What is set in one counts in all.
  const third = await context.newPage();
  await visit(third, server.url);
  await share(third);
  await third.getByText('Another tab of the app keeps this device in step.').first().waitFor();
  await third.getByText('Stop on this device').first().tap();
  await button(third, 'Stop on this device').tap();
  await field(other, 'Address').waitFor();
  const asked = place.asked.length;
  await button(other, 'Look now').waitFor({ state: 'detached' });
  await new Promise((done) => setTimeout(done, 2000));
  assert.equal(place.asked.length, asked, 'nothing is asked any more');
}));

test('a lost phone: a new key, and the others are told and follow by one code', () => barn(2, async (place, { page: one }, { page: two }) => {
  await addAnimal(one, 'Bel', 'B07');
  await begun(one, place);
  const old = await invitation(one);
  await joined(two, old);
  await one.getByText('A device was lost').tap();
  await button(one, 'Lock with a new key').tap();
  await said(one, 'Locked with a new key.');
  await inStep(one);
  const text = await invitation(one);
  assert.notEqual(text, old);
  await addAnimal(one, 'Ash', 'A01');
  await share(two);
  await button(two, 'Look now').tap();
  await two.getByText(/^Not in step\. The barn was given a new key/).first().waitFor();
  // The page itself takes the new invitation.
  await field(two, 'Invitation').fill(text);
  await button(two, 'Read it').tap();
  await button(two, 'Join this barn').tap();
  await inStep(two);
  await agreed(one, two);
  await share(two);
  await two.getByText('Stop on this device').first().tap();
  await button(two, 'Stop on this device').tap();
  await said(two, 'This device is no longer kept in step.');
  await field(two, 'Address').waitFor();
  // Its records stay.
  await bar(two, 'Animals').tap();
  await link(two, /^Ash/).first().waitFor();
}));

test('a password that was changed is entered once; one that is not taken changes nothing', () => barn(1, async (place, { page }) => {
  await addAnimal(page, 'Bel', 'B07');
  await begun(page, place);
  const text = await invitation(page);
  await page.getByText('A device was lost').tap();
  await password(page, 'New password').fill('brown kettle');
  await button(page, 'Lock with a new key').tap();
  await page.getByText('Nothing was changed: the server does not take this.').waitFor();
  await share(page);
  await inStep(page);
  assert.equal(await invitation(page), text);
  // As after a change on the server.
  await place.takes('brown kettle');
  await share(page);
  await button(page, 'Look now').tap();
  await page.getByText(/^The shared folder does not let this device in/).first().waitFor();
  await password(page, 'New password').first().fill('grey kettle');
  await button(page, 'Use this password').tap();
  await page.getByText(/^Nothing was changed:/).waitFor();
  await password(page, 'New password').first().fill('brown kettle');
  await button(page, 'Use this password').tap();
  await inStep(page);
}));

test('two barns become one: a phone brings its own records, and one tap takes them in on the others', () => barn(2, async (place, { page: one }, { page: two }) => {
  await addAnimal(one, 'Bel', 'B07');
  await begun(one, place);
  await addAnimal(two, 'Fern', 'F01');
  const bundle = await made(one);
  await bundles(two);
  await opener(two).setInputFiles(file(bundle));
  await button(two, 'Join the two books').tap();
  await button(two, 'Take it in').tap();
  await said(two, '1 entry taken in.');
  await joined(two, await invitation(one));
  await share(one);
  await button(one, 'Look now').tap();
  await one.getByText(/^A device that was let in has brought the records of a second barn/).waitFor();
  await button(one, 'Take its records in').tap();
  await agreed(one, two);
  await bar(one, 'Animals').tap();
  await link(one, /^Fern/).first().waitFor();
}));

test('a phone with records of another barn is not joined, and says what to do', () => barn(2, async (place, { page: one }, { page: two }) => {
  await addAnimal(one, 'Bel', 'B07');
  await begun(one, place);
  await addAnimal(two, 'Fern', 'F01');
  await two.goto(await invitation(one));
  await button(two, 'Join this barn').tap();
  await two.getByText(/This device has records of another barn/).waitFor();
  // An invitation that was cut short is told from none.
  await share(two);
  const text = await invitation(one);
  await field(two, 'Invitation').fill(text.slice(0, -9));
  await button(two, 'Read it').tap();
  await two.getByText('The invitation is not all there. Copy it again, to its end.').waitFor();
}));

test('two phones agree through a bucket', () => barn(2, async (place, { page: one }, { page: two }) => {
  await addAnimal(one, 'Bel', 'B07');
  await share(one);
  await button(one, 'A bucket (S3)').tap();
  await button(one, 'Try it').tap();
  await one.getByText('Secret key: copy it from').waitFor();
  await field(one, 'Address').fill(place.address);
  await field(one, 'Bucket').fill('barn');
  await field(one, 'Access key').fill('key');
  await password(one, 'Secret key').fill('a secret key');
  await button(one, 'Try it').tap();
  await one.getByText('It works.').waitFor();
  await keptInStep(one);
  await joined(two, await invitation(one));
  await addAnimal(two, 'Ash', 'A01');
  await agreed(one, two);
  // The secret key signs, and is never sent.
  assert.ok(place.asked.length > 10);
}, bucket));

test('once a day a spare copy is put beside the entries, and an empty phone has the barn back from it', () => barn(2, async (place, { page: one }, { page: two }) => {
  await addAnimal(one, 'Bel', 'B07');
  await begun(one, place);
  const day = await one.evaluate(() => new Date().toLocaleDateString('sv'));
  await share(one);
  await one.getByText('Spare copies', { exact: true }).tap();
  await button(one, `Save the copy of ${day}`).waitFor();
  assert.ok((await place.files()).some((name) => name.endsWith(`/spare/${day}.age`)));
  const arrives = one.waitForEvent('download');
  await button(one, `Save the copy of ${day}`).tap();
  const download = await arrives;
  assert.equal(download.suggestedFilename(), `barn-${day}.zip`);
  await taken(two, await readFile(await download.path()), '1 entry taken in.');
  await bar(two, 'Animals').tap();
  await link(two, /^Bel/).first().waitFor();
  // One a day, however often the page is loaded.
  const puts = place.asked.filter((asked) => asked.startsWith('PUT') && asked.includes('/spare/')).length;
  await reload(one);
  await share(one);
  await inStep(one);
  assert.equal(place.asked.filter((asked) => asked.startsWith('PUT') && asked.includes('/spare/')).length, puts);
}));

/** The browser's own choice of a folder, made by itself: a folder of its private storage, which is asked in the same way. */
async function choosesFolder(context) {
  await context.addInitScript(() => {
    window.showDirectoryPicker = async () => (await navigator.storage.getDirectory()).getDirectoryHandle('barn', { create: true });
    // What lies there is the page's already: nobody has to be asked.
    for (const method of ['queryPermission', 'requestPermission']) FileSystemHandle.prototype[method] = async () => window.folderAllowed ?? 'granted';
  });
}

/** The names of all files in that folder. */
const inFolder = (page) => page.evaluate(async () => {
  const names = [];
  const walk = async (folder, path) => {
    for await (const [name, handle] of folder.entries()) handle.kind === 'file' ? names.push(path + name) : await walk(handle, `${path}${name}/`);
  };
  await walk(await (await navigator.storage.getDirectory()).getDirectoryHandle('barn'), '');
  return names;
});

test('a folder on this computer is kept in step; where it is no longer allowed, one tap allows it', () => barn(1, async (place, { page, context }) => {
  await choosesFolder(context);
  await reload(page);
  await addAnimal(page, 'Bel', 'B07');
  await share(page);
  await button(page, 'A folder on this computer').tap();
  await button(page, 'Choose the folder').tap();
  await page.getByText('barn', { exact: true }).waitFor();
  await button(page, 'Try it').tap();
  await page.getByText('It works.').waitFor();
  await keptInStep(page);
  const names = await inFolder(page);
  assert.ok(names.some((name) => /^candlemark-1\/\w+\/\w+\/lines\/\w+\/\w+\.0*1-0*1\.\w+\.age$/.test(name)), names.join(' '));
  await context.addInitScript(() => { window.folderAllowed = 'prompt'; });
  await reload(page);
  await share(page);
  await page.getByText('Not in step. The browser has to be allowed to use the folder again.').first().waitFor();
  await page.evaluate(() => { window.folderAllowed = 'granted'; });
  await button(page, 'Allow the folder').tap();
  await inStep(page);
}));

test('ended in the middle, twenty times, nothing is lost and nothing is there twice', () => barn(2, async (place, { page: one }, { page: two }) => {
  await addAnimal(one, 'Bel', 'B07');
  await begun(one, place);
  await joined(two, await invitation(one));
  for (let time = 0; time < 10; time++) {
    // Both phones' networks go after so many requests, in the middle of whatever goes on, and both pages end.
    await addAnimal(one, `Bel ${time}`, `B1${time}`);
    await addAnimal(two, `Ash ${time}`, `A1${time}`);
    place.after = time;
    await Promise.all([one, two].map(reload));
    await new Promise((done) => setTimeout(done, 300));
    [place.fails, place.after] = [null, null];
  }
  await agreed(one, two);
  await bar(one, 'Animals').tap();
  await link(one, /^Ash 9/).first().waitFor();
  for (let time = 0; time < 10; time++) {
    for (const name of [`Bel ${time}`, `Ash ${time}`]) assert.equal(await link(one, new RegExp(`^${name}\\b`)).count(), 1, name);
  }
}));

/** Waits until one sort of what goes along stands so. */
const stands = (page, what, said) => page.locator('label.tick').filter({ hasText: what }).locator('xpath=following-sibling::p[1]').filter({ hasText: said }).waitFor();

/** Ticks that one sort of things goes along, and waits until all of them are level. */
async function goAlong(page, what) {
  await share(page);
  await page.getByText("Photos and people's details", { exact: true }).tap();
  await page.getByLabel(what).check();
  await stands(page, what, 'All are here and in the shared folder.');
}

test("photos and people's details go along where they are ticked, and what is erased for good is deleted there", () => barn(2, async (place, { page: one }, { page: two }) => {
  const beside = async (folder) => (await place.files()).filter((name) => name.includes(`/${folder}/`)).length;
  await addAnimal(one, 'Bel', 'B07');
  await toAnimal(one, 'Bel');
  await link(one, 'Photos').tap();
  await title(one, 'Photos of Bel').waitFor();
  await addPhoto(one, await jpeg('bel'));
  await said(one, 'Photo saved.');
  await somebody(one, 'P-001', 'Rosalind Marsh');
  await begun(one, place);
  await joined(two, await invitation(one));
  await agreed(one, two);
  assert.deepEqual([await beside('photos'), await beside('people')], [0, 0], 'nothing goes unasked');
  await share(two);
  await two.getByText("Photos and people's details", { exact: true }).tap();
  await two.getByLabel('Photos', { exact: true }).check();
  await stands(two, 'Photos', 'One is on a device that does not send it.');

  await goAlong(one, 'Photos');
  assert.deepEqual([await beside('photos'), await beside('people')], [1, 0]);
  await goAlong(one, /^People's details/);
  assert.deepEqual([await beside('photos'), await beside('people')], [1, 1]);
  for (const bytes of await place.holds()) {
    assert.equal(bytes.subarray(0, 21).toString(), 'age-encryption.org/v1');
    for (const word of ['Rosalind', 'third farm', 'JFIF']) assert.equal(bytes.includes(word), false);
  }

  await share(two);
  await button(two, 'Look now').tap();
  await two.getByText("Photos and people's details", { exact: true }).tap();
  await stands(two, 'Photos', 'All are here and in the shared folder.');
  assert.equal(await details(two), '[]', 'only what is ticked comes');
  await toAnimal(two, 'Bel');
  await link(two, 'Photos').tap();
  await two.getByRole('img', { name: /^Photo of Bel, today/ }).waitFor();
  await goAlong(two, /^People's details/);
  await toSomebody(two, 'P-001 · Rosalind Marsh');

  await toSomebody(one, 'P-001 · Rosalind Marsh');
  await button(one, 'Erase the details for good').tap();
  await button(one, 'Erase for good').tap();
  await said(one, 'Erased for good.');
  await agreed(one, two);
  for (let tries = 0; await beside('people') > 0 || await details(two) !== '[]'; tries++) {
    assert.ok(tries < 120, 'it stays');
    await new Promise((done) => setTimeout(done, 500));
  }
  assert.equal(await beside('photos'), 1);
}));
