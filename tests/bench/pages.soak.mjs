// A long day without a network: every page that the bars lead to, hundreds of times, forwards and back. Nothing may
// go wrong and nothing may pile up.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { drawn, kept, seat, visit } from '../browser/harness/browser.mjs';
import { site } from '../browser/harness/site.mjs';

const ROUNDS = 60;

test('pages visited over and over leave nothing behind', async () => {
  const server = await site();
  const open = await seat({ own: true });
  try {
    const { page, context, faults } = open;
    await visit(page, server.url);
    await kept(page);
    await server.stop();
    await page.reload();
    await drawn(page);
    const links = await page.evaluate(() => [...new Set([...document.querySelectorAll('a[href*="#/"]')].map((link) => link.hash))]);
    // The camera is another test's.
    const places = links.filter((hash) => hash !== '#/scan');
    assert.ok(places.length > 1, 'there are pages to visit');
    const tool = await context.newCDPSession(page);
    await tool.send('Performance.enable');
    const held = async () => {
      await page.evaluate((hash) => { location.hash = hash; }, places[0]);
      await page.waitForTimeout(200);
      await tool.send('HeapProfiler.collectGarbage');
      const { metrics } = await tool.send('Performance.getMetrics');
      const of = (name) => metrics.find((metric) => metric.name === name).value;
      return { nodes: of('Nodes'), listeners: of('JSEventListeners'), heap: of('JSHeapUsedSize') };
    };
    const around = async (times) => {
      for (let round = 0; round < times; round += 1) {
        for (const place of places) await page.evaluate((hash) => { location.hash = hash; }, place);
        await page.goBack();
        await page.goForward();
      }
    };
    await around(ROUNDS / 3);
    const early = await held();
    await around(ROUNDS);
    const late = await held();
    console.log('held early and late', early, late);
    assert.deepEqual(faults, []);
    for (const [what, slack] of [['nodes', 200], ['listeners', 50], ['heap', 2_000_000]]) {
      assert.ok(late[what] <= early[what] + slack, `${what} grew from ${early[what]} to ${late[what]}`);
    }
  } finally {
    await open.close();
    await server.stop();
  }
});
