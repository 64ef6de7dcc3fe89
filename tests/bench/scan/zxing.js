// The reader of others that the app's own is told against, as a worker that takes the same messages (`app/scan`).
import { prepareZXingModule, readBarcodes } from '/zxing/es/reader/index.js';

await prepareZXingModule({ overrides: { locateFile: () => '/zxing/reader/zxing_reader.wasm' }, fireImmediately: true });

onmessage = async ({ data: { id, width, height, buffer, forget } }) => {
  if (forget) return;
  const start = performance.now();
  // Every try it has, and only square codes: its best success, and no time spent on other kinds.
  const [found] = await readBarcodes(new ImageData(new Uint8ClampedArray(buffer), width, height), {
    formats: ['QRCode'], tryHarder: true, tryRotate: true, tryInvert: true, tryDownscale: true, maxNumberOfSymbols: 1,
  });
  postMessage({ id, text: found?.text ?? null, ms: performance.now() - start, buffer }, [buffer]);
};
postMessage({ ready: true });
