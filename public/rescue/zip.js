// A ZIP archive, deflated where the browser can do that.

import { bytesOf } from './line.js';

const TABLE = Uint32Array.from({ length: 256 }, (_, byte) => {
  let sum = byte;
  for (let bit = 0; bit < 8; bit += 1) sum = sum & 1 ? (sum >>> 1) ^ 0xedb88320 : sum >>> 1;
  return sum;
});

/** The sum that a ZIP archive keeps of each file. */
export function crc32(bytes) {
  let sum = 0xffffffff;
  for (const byte of bytes) sum = TABLE[(sum ^ byte) & 0xff] ^ (sum >>> 8);
  return (sum ^ 0xffffffff) >>> 0;
}

/** The bytes deflated; null where this browser cannot. */
async function deflated(bytes) {
  try {
    const small = new Blob([bytes]).stream().pipeThrough(new CompressionStream('deflate-raw'));
    return new Uint8Array(await new Response(small).arrayBuffer());
  } catch {
    return null;
  }
}

/** Numbers in the low-end-first order of the format: pairs of value and bytes it takes. */
function packed(...numbers) {
  const out = new DataView(new ArrayBuffer(numbers.reduce((sum, [, size]) => sum + size, 0)));
  let at = 0;
  for (const [value, size] of numbers) {
    if (size === 4) out.setUint32(at, value, true);
    else out.setUint16(at, value, true);
    at += size;
  }
  return new Uint8Array(out.buffer);
}

/** Builds an archive file by file. What is added is kept as parts of a Blob, so that pictures need not be held in memory. */
export class Zip {
  #parts = [];
  #listed = [];
  #at = 0;

  /** Adds a file. `stored`: as it is, since it is small already; then `kept`, a Blob of the same bytes, may stand for them. */
  async add(name, bytes, { stored = false, kept = bytes } = {}) {
    const small = stored ? null : await deflated(bytes);
    const label = bytesOf(name);
    const content = small ?? kept;
    const size = small?.length ?? bytes.length;
    // The time is left at 1 January 1980, so that the same records make the same file.
    const about = [[0x0800, 2], [small ? 8 : 0, 2], [0, 2], [0x21, 2], [crc32(bytes), 4], [size, 4], [bytes.length, 4], [label.length, 2], [0, 2]];
    const head = packed([0x04034b50, 4], [20, 2], ...about);
    const entry = packed([0x02014b50, 4], [20, 2], [20, 2], ...about, [0, 2], [0, 2], [0, 2], [0, 4], [this.#at, 4]);
    this.#parts.push(head, label, content);
    this.#listed.push(entry, label);
    this.#at += head.length + label.length + size;
  }

  /** The whole archive. */
  finish() {
    const size = this.#listed.reduce((sum, part) => sum + part.length, 0);
    const files = this.#listed.length / 2;
    const end = packed([0x06054b50, 4], [0, 2], [0, 2], [files, 2], [files, 2], [size, 4], [this.#at, 4], [0, 2]);
    return new Blob([...this.#parts, ...this.#listed, end], { type: 'application/zip' });
  }
}
