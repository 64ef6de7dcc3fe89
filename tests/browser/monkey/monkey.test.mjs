// A monkey at the app: odd taps and odd texts, on every page. `CANDLEMARK_MONKEY=7,8` plays those numbers again.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { seat, visit } from '../harness/browser.mjs';
import { loadSeason } from '../harness/keeper.mjs';
import { site } from '../harness/site.mjs';
import { inside } from './inside.mjs';
import { BASE, PAGES, well } from './monkey.mjs';
import { stands } from './stands.mjs';

const told = process.env.CANDLEMARK_MONKEY?.split(',').map(Number);
/** Phone and desktop, the season (remainder 0 and 1 of four) and from empty. */
const SEEDS = told ?? [1, 2, 3, 4, 5, 8];
const STEPS = Number(process.env.CANDLEMARK_STEPS ?? 500);

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

const reached = new Set();

for (const seed of SEEDS) {
  test(`the monkey of number ${seed} finds nothing amiss`, async () => {
    const ran = await well({ server, seed, steps: STEPS });
    for (const address of ran.reached) reached.add(address);
  });
}

// Of some numbers only, this says nothing.
if (!told) {
  test('it was on every page there is', () => {
    const variants = new Set(PAGES.filter(([, address]) => reached.has(address)).map(([variant]) => variant));
    assert.deepEqual([...new Set(PAGES.map(([variant]) => variant))].filter((variant) => !variants.has(variant)), []);
  });

  test('what is half typed on any page stands when another tab saves something', async () => {
    const open = await seat();
    try {
      await open.context.addInitScript(inside, { seed: 1, base: BASE });
      await visit(open.page, server.url);
      await loadSeason(open.page);
      const { lost, fields } = await stands(open, server.url);
      console.log(`${fields} fields`);
      assert.ok(fields > 200, 'there were fields');
      assert.deepEqual(lost, []);
      assert.deepEqual(open.faults, []);
    } finally {
      await open.close();
    }
  });
}
