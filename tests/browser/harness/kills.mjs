// Acts and imports one after another, with the whole browser killed in between at random moments.
import assert from 'node:assert/strict';
import { seat, visit } from './browser.mjs';
import { addIncubator, link, title } from './keeper.mjs';
import { readings, stored, taken, unbroken } from './records.mjs';
import { bundleOf, sha256, strangersLines } from './stranger.mjs';

/** `count` different numbers from 1 to `most`, in order. */
function some(count, most) {
  const found = new Set();
  while (found.size < Math.min(count, most)) found.add(1 + Math.floor(Math.random() * most));
  return [...found].sort((a, b) => a - b);
}

const chance = (ms) => new Promise((then) => setTimeout(then, Math.random() * ms));

/** Runs in the page: completion is told first, and the records are never written, however long the kill takes to come. */
function sayEarly() {
  const real = IDBTransaction.prototype.commit;
  IDBTransaction.prototype.commit = function commit() {
    // What a start seals is written as ever, or no act would come to its turn.
    if (this.mode !== 'readwrite' || this.objectStoreNames.contains('blocks')) return real.call(this);
    this.dispatchEvent(new Event('complete'));
    const store = this.objectStore(this.objectStoreNames[0]);
    const hold = () => { store.count().onsuccess = hold; };
    hold();
  };
}

/** Opens the browser of this profile with the app at `fragment`; `work(page)` runs until it is done or the browser is dead. */
async function life({ server, profile, fragment, init, sqlite }, work) {
  const open = await seat({ profile, sqlite });
  try {
    if (init) await open.context.addInitScript(init);
    await visit(open.page, server.url, fragment);
    return await work(open);
  } finally {
    await open.close().catch(() => { /* it was killed */ });
  }
}

/** Runs `work`, which tells how far it is, and kills the browser a moment after it has come to `at`. */
async function until(open, at, work) {
  let dead;
  await work((n) => {
    if (n >= at) dead ??= chance(60).then(() => open.kill());
  }).catch((error) => {
    // Its page is gone under it: that was the purpose. Anything else is a fault.
    if (!dead) throw error;
  });
  await dead;
}

/** `acts` readings on one shelf, killed after the first `from` of them. Says how many kills there were, and at which acts; fails when one said to be saved is missing. */
export async function actsUnderKills({ server, profile, acts, kills, early = false, from = 0, sqlite = false }) {
  const points = some(kills, acts - 1 - from).map((point) => from + point);
  const saved = new Set();
  const fragment = await life({ server, profile, sqlite }, async ({ page }) => {
    await addIncubator(page);
    await link(page, /^Shelf 1/).first().tap();
    await title(page, /Shelf 1/).waitFor();
    await readings(page, 1, from, (n) => saved.add(n));
    return new URL(page.url()).hash;
  });
  let next = 1;
  const look = async (page) => {
    await page.locator('form.reading input').first().waitFor();
    const { lines } = await stored(page);
    unbroken(lines);
    const there = taken(lines);
    for (const n of saved) assert.ok(there.has(n), `act ${n} was said to be saved and is not there`);
    next = Math.max(0, ...there) + 1;
    return lines.length;
  };
  for (const point of points) {
    await life({ server, profile, fragment, sqlite, init: early ? sayEarly : undefined }, async (open) => {
      await look(open.page);
      await until(open, Math.max(point, next), (told) => readings(open.page, next, acts, (n) => {
        saved.add(n);
        told(n);
      }));
    });
  }
  return life({ server, profile, fragment, sqlite }, async ({ page }) => {
    await look(page);
    await readings(page, next, acts, (n) => saved.add(n));
    const lines = await look(page);
    assert.equal(next, acts + 1);
    return `killed at acts ${points.join(', ')}; ${saved.size} said to be saved, ${lines} lines there`;
  });
}

/** Runs in the page for bundles: takes one in, as a keeper would, and comes back at the message that it is taken. */
async function take(text) {
  const soon = () => new Promise((then) => setTimeout(then));
  const bytes = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
  const input = document.querySelector('input[type=file][aria-label="Open a bundle"]');
  const files = new DataTransfer();
  files.items.add(new File([bytes], 'barn.zip'));
  input.files = files.files;
  input.dispatchEvent(new Event('change', { bubbles: true }));
  const button = () => [...document.querySelectorAll('button')].find((one) => one.textContent === 'Take it in');
  while (!button()) {
    const bad = document.querySelector('[role=alert]');
    if (bad) throw new Error(bad.textContent);
    await soon();
  }
  button().click();
  while (button()) await soon();
}

/** Bundles of a stranger's records, each with `each` more acts and one more picture. */
async function strangersBundles(page, imports, each) {
  const lines = strangersLines(imports * each);
  const pictures = [];
  const bundles = [];
  for (let n = 1; n <= imports; n += 1) {
    // A frame's header is all that is looked at before a picture is shown.
    pictures.push(Buffer.from([0xff, 0xd8, 0xff, 0xc0, 0, 17, 8, 0, n, 0, 4, 3, 1, 0x22, 0, 2, 0x11, 1, 3, 0x11, 1, ...Buffer.alloc(50_000, n)]));
    bundles.push((await bundleOf(page, lines.slice(0, n * each), pictures.slice(0, n))).toString('base64'));
  }
  return { lines, bundles, hashes: pictures.map(sha256) };
}

/** `imports` bundles taken in, each once. Fails when one said to be taken in is missing, or any is half there. */
export async function importsUnderKills({ server, profile, imports, kills, each }) {
  const points = some(kills, imports - 1);
  const { lines: all, bundles, hashes } = await life({ server, profile }, ({ page }) => strangersBundles(page, imports, each));
  let saved = 0;
  let next = 1;
  const look = async (page) => {
    await page.locator('[data-digest]').waitFor();
    const held = await stored(page);
    assert.ok(held.imports.length >= saved, `bundle ${saved} was said to be taken in and is not there`);
    for (const { n, acts } of held.imports) assert.equal(held.imported(n).length, acts, `of bundle ${n} all lines`);
    const theirs = all.slice(0, held.imports.length * each);
    assert.deepEqual(held.lines.toSorted(), theirs.toSorted(), 'the lines of the bundles taken in, and no others');
    assert.deepEqual(held.photos.toSorted(), hashes.slice(0, held.imports.length).toSorted(), 'and their pictures');
    next = held.imports.length + 1;
  };
  const takeAll = async (page, told) => {
    for (; next <= imports; next += 1) {
      // The moment counts from the tap, not from the message after it.
      told(next);
      await page.evaluate(take, bundles[next - 1]);
      saved = next;
    }
  };
  for (const point of points) {
    await life({ server, profile, fragment: '#/bundles' }, async (open) => {
      await look(open.page);
      await until(open, Math.max(point, next), (told) => takeAll(open.page, told));
    });
  }
  return life({ server, profile, fragment: '#/bundles' }, async ({ page }) => {
    await look(page);
    await takeAll(page, () => {});
    await look(page);
    return `killed at bundles ${points.join(', ')}; ${all.length} lines there`;
  });
}
