// Every page while the day turns: it says what is so now. Half typed, while another tab saves something: all of it stands.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { seat, visit } from './harness/browser.mjs';
import { loadSeason } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
import { inside } from './monkey/inside.mjs';
import { BASE } from './monkey/monkey.mjs';
import { stands } from './monkey/stands.mjs';

let server;
before(async () => { server = await site(); });
after(async () => { await server?.stop(); });

test('over midnight every page tells the new day, what is half typed stands, and every page can be left while it is typed on', async () => {
  const open = await seat();
  try {
    await open.context.addInitScript(inside, { seed: 1, base: BASE });
    await visit(open.page, server.url);
    await loadSeason(open.page);
    const { lost, late, fields } = await stands(open, server.url);
    console.log(`${fields} fields`);
    assert.ok(fields > 200, 'there were fields');
    assert.deepEqual(lost, []);
    assert.deepEqual(late, []);
    assert.deepEqual(open.faults, []);
  } finally {
    await open.close();
  }
});
