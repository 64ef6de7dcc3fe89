// Square codes made by a library that is not the app's.
import { readFile } from 'node:fs/promises';
import { prepareZXingModule, writeBarcode } from 'zxing-wasm/writer';

const wasm = await readFile(new URL('../node_modules/zxing-wasm/dist/writer/zxing_writer.wasm', import.meta.url));
await prepareZXingModule({ overrides: { wasmBinary: wasm.buffer.slice(wasm.byteOffset, wasm.byteOffset + wasm.length) }, fireImmediately: true });

/** A square code as a picture and, `n` a side without white around, as modules (1 = dark, row by row). */
export async function square(text, options = {}) {
  const { svg, symbol, error } = await writeBarcode(text, { format: 'QRCode', ...options });
  if (error) throw new Error(error);
  return { svg, n: symbol.width, dark: Uint8Array.from(symbol.data.subarray(0, symbol.width ** 2), (grey) => (grey < 128 ? 1 : 0)) };
}
