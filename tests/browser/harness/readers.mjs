// Readers of square codes that nobody here made: zbar, and jsQR on pixels as a browser decodes them.
import { execFile } from 'node:child_process';
import { mkdtemp, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import jsQR from 'jsqr';

const run = promisify(execFile);

/** What zbar reads in a picture file. */
export async function zbar(path) {
  const { stdout } = await run('zbarimg', ['--quiet', '--raw', path]);
  return stdout.trim();
}

/** What jsQR reads in the bytes of a PNG or JPEG; `page` is any open page, a blank one beside it decodes. */
export async function jsqr(page, picture) {
  const studio = await page.context().newPage();
  try {
    await studio.goto('about:blank');
    const { pixels, width, height } = await studio.evaluate(async (data) => {
      const image = new Image();
      image.src = data;
      await image.decode();
      const canvas = Object.assign(document.createElement('canvas'), { width: image.naturalWidth, height: image.naturalHeight });
      const pen = canvas.getContext('2d');
      pen.drawImage(image, 0, 0);
      const { data: bytes } = pen.getImageData(0, 0, canvas.width, canvas.height);
      let text = '';
      for (let i = 0; i < bytes.length; i += 8192) text += String.fromCharCode(...bytes.subarray(i, i + 8192));
      return { pixels: btoa(text), width: canvas.width, height: canvas.height };
    }, `data:image/png;base64,${picture.toString('base64')}`);
    return jsQR(new Uint8ClampedArray(Buffer.from(pixels, 'base64')), width, height)?.data;
  } finally {
    await studio.close();
  }
}

/** The pages of a PDF in millimetres, [width, height] each. */
export async function pdfPages(path) {
  const { stdout } = await run('pdfinfo', ['-l', '-1', path]);
  const sizes = stdout.matchAll(/^Page\s+\d*\s*size:\s+([\d.]+) x ([\d.]+) pts/gm);
  return [...sizes].map(([, width, height]) => [width, height].map((points) => (Number(points) * 25.4) / 72));
}

/** Runs `act` with the path of a PDF of what `page` shows, as the browser prints it on A4. */
export async function onPaper(page, act) {
  const dir = await mkdtemp(join(tmpdir(), 'candlemark-paper-'));
  try {
    const path = join(dir, 'page.pdf');
    await writeFile(path, await page.pdf({ format: 'A4', preferCSSPageSize: true }));
    return await act(path);
  } finally {
    await rm(dir, { recursive: true, force: true });
  }
}

/** What is written on each page of a PDF, by poppler. */
export async function pdfTexts(path) {
  const { stdout } = await run('pdftotext', ['-layout', path, '-'], { maxBuffer: 1 << 24 });
  return stdout.split('\f').slice(0, -1);
}

/** Runs `act` with the paths of a PDF's pages as PNG at 300 dpi. */
export async function rendered(path, act) {
  const dir = await mkdtemp(join(tmpdir(), 'candlemark-pages-'));
  try {
    await run('pdftoppm', ['-r', '300', '-png', path, join(dir, 'page')]);
    return await act((await readdir(dir)).sort().map((name) => join(dir, name)));
  } finally {
    await rm(dir, { recursive: true, force: true });
  }
}
