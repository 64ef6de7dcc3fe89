// The monkey (`tests/browser/monkey`) for as long as CANDLEMARK_MINUTES says (30 unless told), each run with the next number, from
// CANDLEMARK_MONKEY on (the minutes since 1970 unless told). All numbers that found something are listed at the end.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { well } from '../browser/monkey/monkey.mjs';
import { site } from '../browser/harness/site.mjs';

const MINUTES = Number(process.env.CANDLEMARK_MINUTES ?? 30);
const STEPS = 1000;

test('monkeys of many numbers find nothing amiss', async () => {
  const server = await site();
  const end = Date.now() + MINUTES * 60_000;
  const failed = [];
  try {
    for (let seed = Number(process.env.CANDLEMARK_MONKEY ?? Math.floor(Date.now() / 60_000)); Date.now() < end; seed += 1) {
      await well({ server, seed, steps: STEPS }).catch((error) => {
        console.log(error.message);
        failed.push(seed);
      });
    }
  } finally {
    await server.stop();
  }
  assert.deepEqual(failed, [], `again: CANDLEMARK_STEPS=${STEPS} CANDLEMARK_MONKEY=${failed} node --test tests/browser/monkey/monkey.test.mjs`);
});
