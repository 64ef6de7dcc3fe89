// What stands before the fake lens: a film of pictures, as Motion JPEG.
import { writeFile } from 'node:fs/promises';

/**
 * Writes `path` (ending in .mjpeg) with one frame of 1280 × 720 a picture, for `seat({camera})`, which plays it over
 * and over. A picture is { svg } or { png: Buffer }, with `width` in pixels of the frame and `turn` in degrees;
 * `page` is any open page of a browser: a blank one is opened beside it to draw.
 */
export async function film(page, path, pictures) {
  const studio = await page.context().newPage();
  try {
    await studio.goto('about:blank');
    const jpegs = [];
    for (const { svg, png, width = 420, turn = 0 } of pictures) {
      const data = svg ? `data:image/svg+xml;base64,${Buffer.from(svg).toString('base64')}` : `data:image/png;base64,${png.toString('base64')}`;
      const jpeg = await studio.evaluate(async ({ data, width, turn }) => {
        const picture = new Image();
        picture.src = data;
        await picture.decode();
        const canvas = Object.assign(document.createElement('canvas'), { width: 1280, height: 720 });
        const pen = canvas.getContext('2d');
        pen.fillStyle = '#8d8678';
        pen.fillRect(0, 0, 1280, 720);
        pen.translate(640, 360);
        pen.rotate((turn * Math.PI) / 180);
        const height = (width * picture.naturalHeight) / picture.naturalWidth;
        pen.drawImage(picture, -width / 2, -height / 2, width, height);
        return canvas.toDataURL('image/jpeg', 0.92).split(',')[1];
      }, { data, width, turn });
      jpegs.push(Buffer.from(jpeg, 'base64'));
    }
    await writeFile(path, Buffer.concat(jpegs));
  } finally {
    await studio.close();
  }
}
