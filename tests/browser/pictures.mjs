// The README's pictures of the main pages, with the demonstration season in them: `cargo xtask pictures`.
import { mkdir } from 'node:fs/promises';
import { seat, visit } from './harness/browser.mjs';
import { button, link, loadSeason, title } from './harness/keeper.mjs';
import { root, site } from './harness/site.mjs';

const folder = `${root}tests/pictures/`;

await mkdir(folder, { recursive: true });
const server = await site();
const open = await seat({ deviceScaleFactor: 1, reducedMotion: 'reduce', colorScheme: 'light' });
try {
  const { page } = open;
  const picture = async (name) => {
    await page.waitForFunction(() => document.fonts.status === 'loaded');
    await page.screenshot({ path: `${folder}${name}.png` });
  };
  await visit(page, server.url);
  await loadSeason(page);
  await link(page, /^Check: /).first().waitFor();
  await picture('rounds');
  const box = await page.locator('a[href^="#/box/"][href$="/candle"]').first().getAttribute('href');
  await visit(page, server.url, box.replace('/candle', ''));
  await link(page, 'Candle').waitFor();
  await picture('box');
  await visit(page, server.url, box);
  await title(page, 'Candle').waitFor();
  await picture('candle');
  await visit(page, server.url, box.replace('#/box/', '#/label/filling/').replace('/candle', ''));
  await button(page, 'PNG 203 dpi').waitFor();
  await picture('label');
  await visit(page, server.url, '#/season');
  await page.locator('main svg').first().waitFor();
  await picture('season');
  await visit(page, server.url, '#/settings');
  await button(page, 'Night').tap();
  await visit(page, server.url, box.replace('/candle', ''));
  await link(page, 'Candle').waitFor();
  await picture('night');
} finally {
  await open.close();
  await server.stop();
}
