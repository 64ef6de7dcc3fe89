// The measuring tools of the other browser tests measure right.
import assert from 'node:assert/strict';
import { mkdtemp, readFile, readdir, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { smallTargets, violations } from './harness/access.mjs';
import { seat } from './harness/browser.mjs';
import { film } from './harness/camera.mjs';
import { site } from './harness/site.mjs';
import { taps } from './harness/taps.mjs';

let open;
before(async () => { open = await seat({}); });
after(async () => { await open?.close(); });

async function show(body) {
  // A real load, not setContent: that would drop what listens to the window.
  const text = `<!doctype html><html lang="en"><meta name="viewport" content="width=device-width"><title>t</title><main><h1>t</h1>${body}</main></html>`;
  await open.page.goto(`data:text/html,${encodeURIComponent(text)}`);
  return open.page;
}

test('taps are counted as a hand makes them', async () => {
  const page = await show('');
  const hand = await taps(page.context());
  const body = '<label>g <input id="n" inputmode="decimal"></label><button id="b">b</button><select id="s"><option>1<option>2</select><label id="l"><input type="checkbox">c</label>';
  for (const [what, expected, act] of [
    ['nothing', 0, async () => {}],
    ['a touch', 1, () => page.locator('#b').tap()],
    ['a click', 1, () => page.locator('#b').click()],
    ['two touches', 2, async () => { await page.locator('#b').tap(); await page.locator('#b').tap(); }],
    ['a touch of a label', 1, () => page.locator('#l').tap()],
    ['into a field, and four digits', 2, async () => { await page.locator('#n').tap(); await page.keyboard.type('1486'); }],
    ['digits where the cursor is already', 1, async () => { await page.locator('#n').focus(); await page.keyboard.type('27'); }],
    ['a choice from a list', 2, () => page.locator('#s').selectOption('2')],
    ['a key that presses a button', 1, async () => { await page.locator('#b').focus(); await page.keyboard.press('Enter'); }],
    ['what a program does', 0, () => page.evaluate(() => document.getElementById('b').click())],
  ]) {
    await show(body);
    await hand.reset();
    await act();
    assert.equal(await hand.count(), expected, what);
  }
});

test('small targets are found, and those that are let off are not', async () => {
  for (const [body, found] of [
    ['<button style="width:44px;height:44px">a</button>', 0],
    ['<button style="width:43px;height:48px">a</button>', 1],
    ['<p>See <a href="#x">there</a>.</p>', 0],
    ['<a href="#x" style="display:block;height:20px">there</a>', 1],
    ['<button hidden>a</button>', 0],
    ['<label style="display:block;height:48px"><input type="checkbox">c</label>', 0],
    ['<div role="button" tabindex="0" style="height:10px">d</div>', 1],
  ]) {
    assert.equal((await smallTargets(await show(body))).length, found, body);
  }
});

test('what keeps people out is found', async () => {
  assert.deepEqual(await violations(await show('<button>Save</button>')), []);
  const found = await violations(await show('<button></button><p style="color:#bbb;background:#fff">faint</p>'));
  assert.deepEqual(found.map((line) => line.split(':')[0]).sort(), ['button-name', 'color-contrast']);
});

test('the film stands before the lens, frame after frame', async () => {
  const dir = await mkdtemp(join(tmpdir(), 'candlemark-film-'));
  const served = await site();
  try {
    const camera = join(dir, 'two.mjpeg');
    const field = (colour) => ({ width: 600, svg: `<svg xmlns="http://www.w3.org/2000/svg" width="100" height="100"><rect width="100" height="100" fill="${colour}"/></svg>` });
    await film(open.page, camera, [field('#f00'), field('#00f')]);
    const filmed = await seat({ camera });
    try {
      await filmed.page.goto(served.url);
      const seen = await filmed.page.evaluate(async () => {
        const video = document.createElement('video');
        video.srcObject = await navigator.mediaDevices.getUserMedia({ video: { width: 1280, height: 720 } });
        await video.play();
        const canvas = Object.assign(document.createElement('canvas'), { width: video.videoWidth, height: video.videoHeight });
        const pen = canvas.getContext('2d', { willReadFrequently: true });
        const colours = new Set();
        const end = performance.now() + 8000;
        while (colours.size < 2 && performance.now() < end) {
          await new Promise((then) => setTimeout(then, 20));
          pen.drawImage(video, 0, 0);
          const [red, , blue] = pen.getImageData(canvas.width / 2, canvas.height / 2, 1, 1).data;
          if (red > 150 && blue < 100) colours.add('red');
          if (blue > 150 && red < 100) colours.add('blue');
        }
        return { size: [canvas.width, canvas.height], colours: [...colours].sort() };
      });
      assert.deepEqual(seen, { size: [1280, 720], colours: ['blue', 'red'] });
    } finally {
      await filmed.close();
    }
  } finally {
    await served.stop();
    await rm(dir, { recursive: true, force: true });
  }
});

// What was tapped may still be on its way: on a quick machine the page is there, on a busy one it is the page before.
test('no test reads a page right after a tap that leads to it', async () => {
  const here = new URL('./', import.meta.url);
  for (const name of (await readdir(here)).filter((name) => name.endsWith('.test.mjs'))) {
    const text = await readFile(new URL(name, here), 'utf8');
    const early = text.match(/^.*\b(?:link|bar)\(.*\.(?:tap|click)\(\);\n.*\b(?:await shows|boundingBox)\(.*$/gm);
    assert.equal(early, null, `${name}: wait for the title first, or use showing()`);
  }
});
