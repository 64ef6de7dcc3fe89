// Candling sixty boxes by walking with the camera open, on a camera that shows one label after another: time and taps
// a box. The time is this machine's own: what a hand adds between two boxes is not in it.
import { bar, button, loadSeason } from '../browser/harness/keeper.mjs';
import { seat, visit } from '../browser/harness/browser.mjs';
import { hold, lens } from '../browser/harness/lens.mjs';
import { site } from '../browser/harness/site.mjs';
import { taps } from '../browser/harness/taps.mjs';
import { square } from '../browser/harness/writer.mjs';
import { median, report } from './report.mjs';

const BOXES = 60;

const server = await site();
const open = await seat({ own: true });
try {
  const { context, page } = open;
  await lens(context);
  await visit(page, server.url);
  await loadSeason(page);
  await bar(page, 'Boxes').tap();
  await page.locator('a[href^="#/box/"]').first().waitFor();
  const links = await page.locator('a[href^="#/box/"]').evaluateAll((all) => all.map((a) => a.hash.split('/')[2]));
  const boxes = [...new Set(links)];
  await page.evaluate(() => { location.hash = '#/walk/candle'; });
  await button(page, 'Open').waitFor();
  const counter = await taps(context);
  const times = [];
  for (let i = 0; i < BOXES; i += 1) {
    const svg = (await square(`HTTPS://BARN.EXAMPLE/#/B/${boxes[i % boxes.length]}`)).svg;
    const start = performance.now();
    await hold(page, svg);
    await page.getByRole('button', { name: /^(All as last time|Veins in all)$/ }).tap();
    await page.getByText(`${i + 1} done`).waitFor();
    times.push(performance.now() - start);
    await hold(page, null);
  }
  const count = await counter.count();
  await report('walk', [{ boxes: BOXES, of: boxes.length, taps_a_box: count / BOXES, median_ms: Math.round(median(times)), all_s: Number((times.reduce((a, b) => a + b) / 1000).toFixed(1)) }]);
} finally {
  await open.close();
  await server.stop();
}
