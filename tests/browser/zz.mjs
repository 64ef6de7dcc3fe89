import { seat, visit } from './harness/browser.mjs';
import { loadSeason, bar, link } from './harness/keeper.mjs';
import { site } from './harness/site.mjs';
const server = await site();
const open = await seat({ reducedMotion: 'reduce', deviceScaleFactor: 1 }); const { page } = open;
await visit(page, server.url); await loadSeason(page);
for (const name of process.argv.slice(2)) {
  await bar(page, 'Animals').tap();
  await link(page, new RegExp(name)).first().tap();
  await page.waitForTimeout(1200);
  const h = await page.evaluate(() => document.documentElement.scrollHeight);
  console.log(name, h);
  await page.addStyleTag({ content: '' }).catch(()=>{});
  for (let i = 0; i * 760 < h; i++) { await page.evaluate((y) => scrollTo(0, y), i * 700); await page.waitForTimeout(150); await page.screenshot({ path: `/tmp/animal-${name}-${i}.png` }); }
}
await open.close(); await server.stop();
