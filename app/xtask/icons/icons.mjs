// Draws the icons in public/ from public/favicon.svg, the one drawing of the taper:
//   node app/xtask/icons/icons.mjs      (after `cargo xtask test browser` has fetched its packages)
// A maskable icon may be cut to its middle circle, 80 % wide: there the taper is drawn smaller on ground that
// fills the square.
import { createRequire } from 'node:module';
import { readFile, writeFile } from 'node:fs/promises';

const here = (path) => new URL(path, import.meta.url);
const { chromium } = createRequire(here('../../../tests/browser/package.json'))('playwright-core');
const drawing = await readFile(here('../../../public/favicon.svg'), 'utf8');
const square = drawing.replace(' rx="96"', '');
const within = square.replace('<g id="taper">', '<g id="taper" transform="translate(256 256) scale(0.8) translate(-256 -250)">');

const browser = await chromium.launch({ executablePath: '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu'] });
for (const [name, size, svg] of [
  ['icon-192.png', 192, drawing],
  ['icon-512.png', 512, drawing],
  ['icon-maskable-192.png', 192, within],
  ['icon-maskable-512.png', 512, within],
  ['apple-touch-icon.png', 180, square],
]) {
  const page = await browser.newPage({ viewport: { width: size, height: size } });
  await page.setContent(`<style>body{margin:0}svg{display:block;width:100vw;height:100vh}</style>${svg}`);
  await writeFile(here(`../../../public/${name}`), await page.screenshot({ omitBackground: true }));
  await page.close();
}
await browser.close();
