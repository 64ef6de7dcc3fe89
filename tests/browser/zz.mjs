import { seat, visit } from './harness/browser.mjs';
import { loadSeason, bar, link } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
const server = await site();
const open = await seat({ reducedMotion: 'reduce' }); const { page } = open;
await visit(page, server.url); await loadSeason(page);
await bar(page, 'Animals').tap();
await page.waitForTimeout(800);
const names = await page.locator('main a').allInnerTexts();
console.log(names.slice(0, 30).map(n=>n.replace(/\s+/g,' ')).join('\n'));
for (const name of process.argv.slice(2)) {
  await bar(page, 'Animals').tap();
  await link(page, new RegExp(name)).first().tap();
  await page.waitForTimeout(1200);
  console.log(name, await page.evaluate(() => document.documentElement.scrollHeight));
  await page.screenshot({ path: `/tmp/animal-${name}.png`, fullPage: true });
}
await open.close(); await server.stop();
