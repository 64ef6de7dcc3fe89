// Two devices side by side: what one's screen shows stands before the other's camera.
import jsQR from 'jsqr';
import { seat, visit } from './browser.mjs';
import { bar, button, link, title } from './keeper.mjs';

/** Before the app is opened: each code that it draws is told, and every camera asked for shows what `before` was given last. */
async function eyes(open) {
  const screen = { shown: 0, latest: undefined, told: undefined };
  await open.context.exposeFunction('showsCode', (picture) => {
    screen.shown += 1;
    screen.latest = picture;
    screen.told?.();
  });
  await open.context.addInitScript(() => {
    const put = CanvasRenderingContext2D.prototype.putImageData;
    CanvasRenderingContext2D.prototype.putImageData = function putImageData(...args) {
      put.apply(this, args);
      if (this.canvas.classList.contains('code')) window.showsCode(this.canvas.toDataURL());
    };
    const canvas = Object.assign(document.createElement('canvas'), { width: 1280, height: 720 });
    const pen = canvas.getContext('2d');
    const sharp = document.createElement('canvas');
    let held;
    let turn = 0;
    const draw = () => {
      turn += 1;
      pen.resetTransform();
      pen.fillStyle = '#8d8678';
      pen.fillRect(0, 0, 1280, 720);
      // A canvas that does not change gives no frames.
      pen.fillStyle = turn % 2 ? '#777' : '#888';
      pen.fillRect(0, 0, 8, 8);
      if (!held) return;
      // In a hand: a little to the side, a little turned, seen at a slant.
      pen.setTransform(held.width / sharp.width, 0.02, -0.03, (0.97 * held.width) / sharp.width, 640 - held.width / 2 + 8, 360 - held.width / 2);
      pen.drawImage(sharp, 0, 0);
    };
    setInterval(draw, 33);
    navigator.mediaDevices.getUserMedia = async () => canvas.captureStream(30);
    /** The picture of a code, a pixel a module; none for a wall. */
    window.before = async (data, width) => {
      if (!data) {
        held = undefined;
        return;
      }
      const picture = new Image();
      picture.src = data;
      await picture.decode();
      sharp.width = picture.naturalWidth * 8;
      sharp.height = picture.naturalHeight * 8;
      const fine = sharp.getContext('2d');
      fine.imageSmoothingEnabled = false;
      fine.drawImage(picture, 0, 0, sharp.width, sharp.height);
      held = { width };
    };
  });
  return screen;
}

/** Runs `act` with two devices that can look at each other's screens, each `{page, screen, faults}`. */
export async function sideBySide(server, act, kinds = [{}, {}]) {
  const open = [];
  try {
    for (const kind of kinds) {
      const one = await seat({ own: true, ...kind });
      open.push(one);
      one.screen = await eyes(one);
      await visit(one.page, server.url);
    }
    await act(...open);
  } finally {
    for (const one of open) await one.close();
  }
}

export async function byLight({ page }) {
  await bar(page, 'More').tap();
  await link(page, /^Backup and sharing/).tap();
  await link(page, /^By light/).tap();
  await title(page, 'By light').waitFor();
}

/** Chance that is the same each time. */
export function chance(seed) {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

/**
 * Holds the camera of `eye` before the screen of `light` until `seen` is told. `lost` says of a code that the camera misses it,
 * `otherwise` gives another picture in its place. Gives how many codes were shown meanwhile, and how long it took.
 */
export async function looks(eye, light, seen, { width = 600, lost = () => false, otherwise } = {}) {
  const { screen } = light;
  const [begun, from] = [screen.shown, performance.now()];
  let [done, last] = [false, -1];
  const end = seen.then((told) => { done = true; screen.told?.(); return told; }, (why) => { done = true; screen.told?.(); throw why; });
  const relay = (async () => {
    while (!done) {
      if (screen.shown === last || !screen.latest) await new Promise((then) => { screen.told = then; if (done) then(); });
      if (done) break;
      last = screen.shown;
      if (last > begun + 1 && lost()) continue;
      const picture = otherwise ? await otherwise(screen.latest) : screen.latest;
      await eye.page.evaluate(({ picture, width }) => window.before(picture, width), { picture, width });
    }
  })();
  await Promise.all([end, relay]);
  await eye.page.evaluate(() => window.before());
  return { shown: Math.max(1, screen.shown - begun), ms: performance.now() - from };
}

/** The bytes of a code's picture, by a reader that is not the app's. */
export async function bytesOf(page, picture) {
  const { pixels, side } = await page.evaluate(async (data) => {
    const image = new Image();
    image.src = data;
    await image.decode();
    const side = image.naturalWidth * 4;
    const canvas = Object.assign(document.createElement('canvas'), { width: side, height: side });
    const pen = canvas.getContext('2d');
    pen.imageSmoothingEnabled = false;
    pen.drawImage(image, 0, 0, side, side);
    return { pixels: Array.from(pen.getImageData(0, 0, side, side).data), side };
  }, picture);
  return Buffer.from(jsQR(new Uint8ClampedArray(pixels), side, side).binaryData);
}

/** One device shows its code and the other looks at it: gives what the other one says then. */
export async function asks(one, other, then, options) {
  await button(one.page, "Show this device's code").tap();
  await button(other.page, 'Look at the other device').tap();
  return looks(other, one, then.waitFor(), options);
}
