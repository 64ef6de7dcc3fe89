// Runs in the browser: both readers as workers, one frame at a time, each alone while it works.
const WIDTH = 1280;
const HEIGHT = 720;

/** A reader in its worker. `trapped` counts the times it had to be started anew. */
class Reader {
  constructor(address) {
    this.address = address;
    this.trapped = 0;
  }

  async start() {
    this.worker = new Worker(this.address, { type: 'module' });
    await this.heard();
  }

  heard() {
    return new Promise((then, fail) => {
      this.worker.onmessage = ({ data }) => then(data);
      this.worker.onerror = (error) => fail(new Error(error.message || 'the worker ended'));
    });
  }

  /** What it reads in a frame of RGBA bytes, and how long it took; after a trap, nothing. */
  async read(rgba) {
    try {
      const buffer = rgba.slice().buffer;
      const answer = this.heard();
      this.worker.postMessage({ id: 1, width: WIDTH, height: HEIGHT, buffer }, [buffer]);
      const { text, ms, error } = await answer;
      if (error) throw new Error(error);
      return { text, ms };
    } catch (why) {
      console.error(String(why));
      this.trapped += 1;
      this.worker.terminate();
      await this.start();
      return { text: null, ms: 0 };
    }
  }

  forget() {
    this.worker.postMessage({ id: 0, forget: true });
  }
}

const ours = new Reader('/app/scan-worker_loader.js');
const zxing = new Reader('/bench/zxing.js');
window.ready = Promise.all([ours.start(), zxing.start()]);
window.trapped = () => ({ ours: ours.trapped, zxing: zxing.trapped });

async function rgba(address) {
  const grey = new Uint8Array(await (await fetch(address)).arrayBuffer());
  if (grey.length !== WIDTH * HEIGHT) throw new Error(`${address} holds ${grey.length} bytes, not a frame of ${WIDTH} × ${HEIGHT}`);
  const out = new Uint8ClampedArray(grey.length * 4).fill(255);
  for (let i = 0; i < grey.length; i += 1) out[4 * i] = out[4 * i + 1] = out[4 * i + 2] = grey[i];
  return out;
}

/** A single frame, without memory of others, `times` times in turn: the text and the least time of each. */
window.still = async (address, times) => {
  const frame = await rgba(address);
  const best = { ours: { ms: Infinity }, zxing: { ms: Infinity } };
  for (let time = 0; time < times; time += 1) {
    const turn = [['ours', ours], ['zxing', zxing]];
    if (time % 2) turn.reverse();
    for (const [name, reader] of turn) {
      reader.forget();
      const read = await reader.read(frame);
      best[name] = { text: read.text, ms: Math.min(read.ms, best[name].ms) };
    }
  }
  return best;
};

/** Frames one after another until both have read: the texts by frame. */
window.film = async (addresses) => {
  const texts = { ours: [], zxing: [] };
  for (const reader of [ours, zxing]) reader.forget();
  for (const address of addresses) {
    const frame = await rgba(address);
    for (const [name, reader] of [['ours', ours], ['zxing', zxing]]) {
      if (texts[name].some(Boolean)) continue;
      texts[name].push((await reader.read(frame)).text);
    }
    if (texts.ours.some(Boolean) && texts.zxing.some(Boolean)) break;
  }
  return texts;
};
