// Devices in step: what an act costs, what an idle minute costs, and how long an empty phone takes to have the whole barn, from a
// server on this machine (Debian's apache2). The page of the phone that has the records is brought there by a bundle.
import { stat } from 'node:fs/promises';
import { seat, visit } from '../browser/harness/browser.mjs';
import { bar, button, field, link, title } from '../browser/harness/keeper.mjs';
import { site } from '../browser/harness/site.mjs';
import { begun, inStep, invitation } from '../browser/harness/share.mjs';
import { store } from '../browser/harness/store.mjs';
import { bundleOf } from '../browser/harness/stranger.mjs';
import { taken } from '../browser/harness/swap.mjs';
import { history } from './history.mjs';
import { report } from './report.mjs';

const SIZES = (process.env.CANDLEMARK_SIZES ?? '1000,10000,100000').split(',').map(Number).filter((size) => size > 0);
const ACTS = 10;
const MINUTES = 3;
/** A little longer than it counts as lively after an entry (`LIVELY` in share/src/machine/look.rs). */
const LIVELY_MS = 190_000;

const wait = (ms) => new Promise((done) => setTimeout(done, ms));

/** Runs `work` and tells its requests and bytes. */
async function counted(place, work) {
  const [asked, bytes] = [place.asked.length, place.bytes];
  await work();
  return { requests: place.asked.length - asked, bytes: place.bytes - bytes };
}

const app = await site();
try {
  const joins = [];
  for (const size of SIZES) {
    const place = await store(new URL(app.url).origin);
    const [one, two] = [await seat({ own: true }), await seat({ own: true })];
    for (const { context } of [one, two]) context.setDefaultTimeout(600_000);
    await visit(one.page, app.url);
    const { lines } = await history(size);
    const bundle = await bundleOf(one.page, lines);
    await taken(one.page, bundle, / entries taken in\./);
    const first = performance.now();
    const sent = await counted(place, () => begun(one.page, place));
    const sent_s = (performance.now() - first) / 1000;
    const text = await invitation(one.page);
    await wait(3000);
    const pieces = (await place.files()).filter((name) => name.includes('/lines/'));
    const sizes = await Promise.all(pieces.map(async (name) => (await stat(name)).size));
    const kept = sizes.reduce((sum, size) => sum + size, 0);
    await visit(two.page, app.url);
    await two.page.goto(text);
    const begin = performance.now();
    const joined = await counted(place, async () => {
      await button(two.page, 'Join this barn').tap();
      await inStep(two.page);
    });
    const join_s = (performance.now() - begin) / 1000;
    joins.push({
      acts: lines.length, first_sent_s: Number(sent_s.toFixed(1)), requests_sent: sent.requests, pieces: pieces.length, store_kB: Math.round(kept / 1000), of_a_bundle: Number((kept / bundle.length).toFixed(2)),
      joined_s: Number(join_s.toFixed(1)), requests: joined.requests, kB: Math.round(joined.bytes / 1000),
    });
    await one.close();
    await two.close();
    await place.stop();
  }
  await report('joining', joins);

  const place = await store(new URL(app.url).origin);
  const [one, two] = [await seat({ own: true }), await seat({ own: true })];
  await visit(one.page, app.url);
  await begun(one.page, place);
  await visit(two.page, app.url);
  await two.page.goto(await invitation(one.page));
  await button(two.page, 'Join this barn').tap();
  await inStep(two.page);
  await wait(10_000);
  const acts = await counted(place, async () => {
    for (let n = 0; n < ACTS; n++) {
      await bar(one.page, 'Animals').tap();
      await link(one.page, 'Add an animal').first().tap();
      await field(one.page, 'Name').fill(`Bel ${n}`);
      await button(one.page, 'Save').tap();
      await title(one.page, new RegExp(`^Bel ${n}`)).waitFor();
      await wait(5000);
    }
    await wait(LIVELY_MS);
  });
  const idle = await counted(place, () => wait(MINUTES * 60_000));
  await report('in-step', [
    { what: 'an act, seen by one other device, with all that is asked until both are idle again', requests: Number((acts.requests / ACTS).toFixed(1)), bytes: Math.round(acts.bytes / ACTS) },
    { what: 'an idle minute of a device', requests: Number((idle.requests / MINUTES / 2).toFixed(1)), bytes: Math.round(idle.bytes / MINUTES / 2) },
  ]);
  await one.close();
  await two.close();
  await place.stop();
} finally {
  await app.stop();
}
