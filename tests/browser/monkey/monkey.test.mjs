// A monkey at the app: odd taps and odd texts, on every page. `CANDLEMARK_MONKEY=7,8` plays those numbers again.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { site } from '../harness/site.mjs';
import { PAGES, well } from './monkey.mjs';

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
}
