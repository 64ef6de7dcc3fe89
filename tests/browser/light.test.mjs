// Two phones in a barn with no network: they exchange entries by looking at each other's screens.
import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { after, before, test } from 'node:test';
import { reload, shot } from './harness/browser.mjs';
import { addAnimal, atBarn, bar, button, link, said, toAnimal } from './harness/keeper.mjs';
import { asks, byLight, bytesOf, chance, looks, sideBySide } from './harness/light.mjs';
import { site } from './harness/site.mjs';
import { bundles, state } from './harness/swap.mjs';
import { square } from './harness/writer.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const lacks = ({ page }) => page.getByText(/^The other device lacks /);
const take = ({ page }) => button(page, 'Take it in');

async function digests(...seats) {
  const all = [];
  for (const { page } of seats) {
    await bundles(page);
    all.push(await state(page));
  }
  return all;
}

/** `one` shows its code, `other` answers, `one` takes it in. */
async function given(one, other, entries, options) {
  await asks(one, other, lacks(other));
  await other.page.getByText(new RegExp(`^The other device lacks ${entries}: \\d+ codes?, about `)).waitFor();
  await button(other.page, 'Show the codes').tap();
  await button(one.page, 'The other one shows codes now: look').tap();
  const took = await looks(one, other, take(one).waitFor(), options);
  await take(one).tap();
  await said(one.page, `${entries} taken in.`);
  return took;
}

test('an empty phone is given the barn; the evening after, one code each way', () => sideBySide(server, async (one, two) => {
  await addAnimal(one.page, 'Bel', 'B07');
  await addAnimal(one.page, 'Moss', 'M02');
  await byLight(one);
  await byLight(two);
  await shot(one.page, 'light-start');
  await given(two, one, '2 entries');
  await two.page.getByText('Both devices have the same entries now.').waitFor();
  await button(one.page, 'Its bar is full').tap();
  await one.page.getByText(/^Given\. /).waitFor();
  const [a, b] = await digests(one, two);
  assert.equal(a, b);

  await addAnimal(one.page, 'Ash', 'A01');
  await addAnimal(one.page, 'Rue', 'R01');
  await addAnimal(two.page, 'Fern', 'F01');
  await byLight(one);
  await byLight(two);
  // The first one looks and gives, then gets: its codes say what it has, so nobody has to show a code again.
  await asks(two, one, lacks(one));
  await one.page.getByText(/^The other device lacks 2 entries: .* Then the other one has 1 entry for this one\.$/).waitFor();
  await shot(one.page, 'light-offer');
  await button(one.page, 'Show the codes').tap();
  await button(two.page, 'The other one shows codes now: look').tap();
  await looks(two, one, take(two).waitFor());
  await shot(one.page, 'light-moving');
  await shot(two.page, 'light-arrived');
  await take(two).tap();
  await said(two.page, '2 entries taken in.');
  await two.page.getByText(/^The other device lacks 1 entry: \d codes?, about a second\.$/).waitFor();
  await button(two.page, 'Show the codes').tap();
  await button(one.page, 'Its bar is full: it has something for this one').tap();
  await looks(one, two, take(one).waitFor());
  await take(one).tap();
  await said(one.page, '1 entry taken in.');
  await one.page.getByText('Both devices have the same entries now.').waitFor();
  const [c, d] = await digests(one, two);
  assert.equal(c, d);
  assert.notEqual(c, a);
  await toAnimal(one.page, 'Fern');
  await toAnimal(two.page, 'Rue');

  // Nothing is left to give: it says so at once.
  await byLight(one);
  await byLight(two);
  await asks(one, two, two.page.getByText('Both devices have the same entries now.'));
  assert.deepEqual([...one.faults, ...two.faults], []);
}));

test('with three of ten codes missed all of it arrives', () => sideBySide(server, async (one, two) => {
  for (let n = 1; n <= 12; n++) await addAnimal(one.page, `Bel ${n}`, `B${n}`);
  await byLight(one);
  await byLight(two);
  await asks(two, one, lacks(one));
  await button(one.page, 'Large').tap();
  const miss = chance(11);
  await button(one.page, 'Show the codes').tap();
  await button(two.page, 'The other one shows codes now: look').tap();
  const { shown } = await looks(two, one, take(two).waitFor(), { lost: () => miss() < 0.3 });
  console.log(`12 entries, three of ten codes missed: ${shown} codes`);
  await take(two).tap();
  await said(two.page, '12 entries taken in.');
  const [a, b] = await digests(one, two);
  assert.equal(a, b);
}));

test('another barn is refused, whichever of the two looks', () => sideBySide(server, async (one, two) => {
  await addAnimal(one.page, 'Bel', 'B07');
  await addAnimal(two.page, 'Moss', 'M02');
  const before = await digests(one, two);
  await byLight(one);
  await byLight(two);
  await asks(one, two, two.page.getByRole('alert').getByText(/^That is another barn's device/));
  await shot(two.page, 'light-refused');
  await button(two.page, 'Start over').tap();
  await button(one.page, 'Start over').tap();
  await asks(two, one, one.page.getByRole('alert').getByText(/^That is another barn's device/));
  assert.deepEqual(await digests(one, two), before);
}));

/** The same code with one byte of its block changed, and its sum put right: only the whole can tell. */
async function forged(page, picture) {
  const bytes = await bytesOf(page, picture);
  assert.equal(bytes.subarray(0, 4).toString('latin1'), 'CL\x01M');
  const body = bytes.subarray(0, bytes.length - 4);
  body[body.length - 9] ^= 1;
  createHash('sha256').update(body).digest().copy(bytes, body.length, 0, 4);
  const version = [10, 15, 20, 25].find((_, at) => bytes.length <= [271, 520, 858, 1273][at]);
  const { n, dark } = await square(new Uint8Array(bytes), { options: `version=${version},ecLevel=L` });
  assert.equal(n, 17 + 4 * version);
  return page.evaluate(({ n, dark }) => {
    const side = n + 8;
    const canvas = Object.assign(document.createElement('canvas'), { width: side, height: side });
    const pen = canvas.getContext('2d');
    pen.fillStyle = '#fff';
    pen.fillRect(0, 0, side, side);
    pen.fillStyle = '#000';
    dark.forEach((module, i) => module && pen.fillRect(4 + (i % n), 4 + Math.floor(i / n), 1, 1));
    return canvas.toDataURL();
  }, { n, dark: [...dark] });
}

test('codes that were forged, and codes of another evening, bring nothing in', () => sideBySide(server, async (one, two) => {
  await addAnimal(one.page, 'Bel', 'B07');
  await byLight(one);
  await byLight(two);
  await asks(two, one, lacks(one));
  await button(one.page, 'Show the codes').tap();
  await button(two.page, 'The other one shows codes now: look').tap();
  await looks(two, one, two.page.getByRole('alert').getByText(/^What arrived is not what was sent/).waitFor(), { otherwise: (picture) => forged(one.page, picture) });
  // The true ones, after that, are taken.
  await looks(two, one, take(two).waitFor());
  await button(two.page, 'Leave it').tap();
  await two.page.getByRole('alert').getByText('Left. Nothing was changed.').waitFor();

  // The first one goes on showing them. Whoever opens the page anew did not ask for these.
  await reload(two.page);
  await button(two.page, "Show this device's code").tap();
  await button(two.page, 'The other one shows codes now: look').tap();
  await looks(two, one, two.page.getByRole('alert').getByText(/^These codes answer another device/).waitFor());
  const [a, b] = await digests(one, two);
  assert.notEqual(a, b);
  assert.deepEqual([...one.faults, ...two.faults], []);
}));

test('when nothing is read it says what helps, and a label is nothing to it', () => sideBySide(server, async (one, two) => {
  await byLight(one);
  await button(one.page, 'Look at the other device').tap();
  await one.page.getByText(/^Hold the camera before the other screen/).waitFor();
  const { svg } = await square('HTTPS://BARN.EXAMPLE/#/B/7K3QX2M9');
  await one.page.evaluate((svg) => window.before(`data:image/svg+xml;base64,${btoa(svg)}`, 400), svg);
  await one.page.getByText(/^Nothing is read yet\. Move a little nearer/).waitFor();
  await shot(one.page, 'light-unread');
  assert.equal(await one.page.getByRole('alert').count(), 0);
  // Two that have nothing yet have the same.
  await button(one.page, 'Start over').tap();
  await byLight(two);
  await asks(one, two, two.page.getByText('Both devices have the same entries now.'));
  assert.deepEqual([...one.faults, ...two.faults], []);
}));

test('at night it says beforehand that codes are bright', () => sideBySide(server, async (one) => {
  await bar(one.page, 'More').tap();
  await link(one.page, /^Settings/).tap();
  await button(one.page, 'Night').tap();
  await byLight(one);
  await one.page.getByText(/^Codes are black on white and bright, also at night/).waitFor();
  await shot(one.page, 'light-night');
  await button(one.page, "Show this device's code").tap();
  await one.page.getByRole('img', { name: 'What this device has, as a code' }).waitFor();
  await shot(one.page, 'light-night-code');
}, [{}]));

for (const [given, said] of [[true, 'The screen stays on by itself.'], [false, /does not keep the screen on/]]) {
  test(`it says whether the screen stays on: ${given}`, () => atBarn(server, {}, async ({ page, faults }) => {
    await page.addInitScript((given) => {
      const request = () => (given ? Promise.resolve({ release: () => Promise.resolve() }) : Promise.reject(new DOMException('low battery', 'NotAllowedError')));
      Object.defineProperty(navigator, 'wakeLock', { value: { request } });
    }, given);
    await reload(page);
    await page.evaluate(() => { location.hash = '#/light'; });
    await button(page, "Show this device's code").tap();
    await page.getByText(said).waitFor();
    assert.deepEqual(faults, []);
  }));
}
