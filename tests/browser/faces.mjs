// Draws the photos of the demonstration season: `node tests/browser/faces.mjs` writes public/demo/*.jpg. A browser of another
// version may pack them into other bytes: their hashes in app/book/src/demo/faces.rs are then to be written anew (a test says so).
import { createHash } from 'node:crypto';
import { mkdir, writeFile } from 'node:fs/promises';
import { seat } from './harness/browser.mjs';
import { root } from './harness/site.mjs';

// Ground, body, pattern, its edge; how many turns of the coil; rings instead of saddles.
const SNAKES = {
  marigold: ['#5b4a33', '#e8873a', '#c23a1e', '#f7e3c0', 2.6, false],
  hazel: ['#3f4a37', '#b98a54', '#8a3b22', '#2c1a12', 2.4, false],
  'hazel-dull': ['#45463f', '#8d8578', '#6f5a52', '#55504a', 2.4, false],
  bel: ['#6a5c48', '#1d1a18', '#efe6cf', '#efe6cf', 2.2, true],
  larkspur: ['#4c4640', '#b9b6ae', '#c9622b', '#26221f', 2.8, true],
  cricket: ['#3a332b', '#7a5a30', '#d9b76a', '#2a1c10', 1.9, false],
};

/** Runs in the page: one picture as a data URL. */
function drawn([ground, body, pattern, edge, turns, rings]) {
  const [w, h] = [480, 360];
  const canvas = Object.assign(document.createElement('canvas'), { width: w, height: h });
  const pen = canvas.getContext('2d');
  pen.fillStyle = ground;
  pen.fillRect(0, 0, w, h);
  const points = [];
  const steps = 240;
  for (let i = 0; i <= steps; i += 1) {
    const t = i / steps;
    const turn = t * turns * 2 * Math.PI;
    const far = 26 + 118 * t;
    points.push([w / 2 + 1.32 * far * Math.cos(turn), h / 2 + 0.92 * far * Math.sin(turn), 10 + 26 * Math.sin(Math.PI * Math.min(1, t * 0.9 + 0.12))]);
  }
  const blob = ([x, y, r], colour, scale = 1) => {
    pen.fillStyle = colour;
    pen.beginPath();
    pen.arc(x, y, r * scale, 0, 2 * Math.PI);
    pen.fill();
  };
  points.forEach((point, i) => {
    blob([point[0] + 3, point[1] + 7, point[2]], 'rgba(0,0,0,0.18)');
    blob(point, body);
    const [at, wide] = rings ? [i % 16, 4] : [i % 20, 9];
    if (at < wide) blob(point, at === 0 || at === wide - 1 ? edge : pattern, rings ? 0.97 : 0.62);
    blob([point[0] - point[2] * 0.3, point[1] - point[2] * 0.35, point[2] * 0.22], 'rgba(255,255,255,0.10)');
  });
  const [x, y] = points[points.length - 1];
  blob([x, y, 30], body);
  blob([x + 10, y + 16, 22], body);
  blob([x + 14, y + 6, 6], '#181310');
  blob([x + 16, y + 4, 2], '#ffffff');
  return canvas.toDataURL('image/jpeg', 0.6);
}

const folder = `${root}public/demo/`;
await mkdir(folder, { recursive: true });
const open = await seat({});
try {
  for (const [name, look] of Object.entries(SNAKES)) {
    const bytes = Buffer.from((await open.page.evaluate(drawn, look)).split(',')[1], 'base64');
    await writeFile(`${folder}${name}.jpg`, bytes);
    console.log(`${name}.jpg ${bytes.length} ${createHash('sha256').update(bytes).digest('hex')}`);
  }
} finally {
  await open.close();
}
