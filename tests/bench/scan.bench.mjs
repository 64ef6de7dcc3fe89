// From a label drawn into the camera's stream to the page it leads to, in milliseconds: the app's own printed label,
// a little turned, on a grey table; each time from a stream that shows nothing.
import { readFile } from 'node:fs/promises';
import { seat, visit } from '../browser/harness/browser.mjs';
import { button, pullClutch, startByHand, title, toBox } from '../browser/harness/keeper.mjs';
import { site } from '../browser/harness/site.mjs';
import { median, report } from './report.mjs';

const TIMES = 21;

/** In the page: a camera that shows what `window.hold` was given, at 30 frames a second. */
function camera() {
  const canvas = Object.assign(document.createElement('canvas'), { width: 1280, height: 720 });
  const pen = canvas.getContext('2d');
  let held = null;
  const draw = () => {
    pen.setTransform(1, 0, 0, 1, 0, 0);
    pen.fillStyle = '#8d8678';
    pen.fillRect(0, 0, 1280, 720);
    if (!held) return;
    pen.translate(640, 360);
    pen.rotate(held.turn);
    pen.drawImage(held.picture, -held.width / 2, (-held.width / 2) * (held.picture.naturalHeight / held.picture.naturalWidth), held.width, held.width * (held.picture.naturalHeight / held.picture.naturalWidth));
  };
  setInterval(draw, 33);
  navigator.mediaDevices.getUserMedia = async () => canvas.captureStream(30);
  window.hold = async (data, width, turn) => {
    const picture = new Image();
    picture.src = data;
    await picture.decode();
    const there = new Promise((then) => window.addEventListener('hashchange', () => requestAnimationFrame(() => setTimeout(() => then(performance.now()))), { once: true }));
    held = { picture, width, turn };
    draw();
    const from = performance.now();
    const ms = (await there) - from;
    held = null;
    return ms;
  };
}

const server = await site();
const open = await seat({ own: true });
try {
  const { page, context } = open;
  await context.addInitScript(camera);
  await visit(page, server.url);
  await startByHand(page);
  await pullClutch(page);
  const download = page.waitForEvent('download');
  await button(page, 'PNG 203 dpi').tap();
  const png = await readFile(await (await download).path());
  await toBox(page);
  const heading = await page.getByRole('heading', { level: 1 }).innerText();
  const times = [];
  for (let time = 0; time < TIMES; time += 1) {
    await page.evaluate(() => { location.hash = '#/scan'; });
    await page.waitForFunction(() => {
      const video = document.querySelector('video');
      return video && video.readyState >= 2 && video.currentTime > 0.3;
    });
    const turn = ((time % 7) - 3) * 0.08;
    times.push(await page.evaluate(({ data, turn }) => window.hold(data, 620, turn), { data: `data:image/png;base64,${png.toString('base64')}`, turn }));
    await title(page, heading).waitFor();
  }
  times.sort((a, b) => a - b);
  await report('scan', [{ what: 'label in view to its page', times: TIMES, median_ms: Math.round(median(times)), slowest_ms: Math.round(times.at(-1)) }]);
} finally {
  await open.close();
  await server.stop();
}
