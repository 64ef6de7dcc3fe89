// Films of a hand bringing the phone to a label: twenty grey frames each, the same for the same number.
import { square } from '../../browser/harness/writer.mjs';

export const FRAMES = 20;
const W = 1280;
const H = 720;
/** Pixels a unit of length takes at a unit of distance: a phone's usual lens. */
const FOCAL = 1000;

/** Evenly spread numbers from 0 to 1 (the mulberry32 generator). */
function dice(seed) {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** Roughly normal, of spread 1. */
const NOISE = (() => {
  const roll = dice(1);
  return Float32Array.from({ length: 1 << 20 }, () => (roll() + roll() + roll() + roll() - 2) * 1.73);
})();

const SYMBOLS = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';

/** A label's link and its modules, true where dark. */
async function code(roll) {
  const symbols = (n) => Array.from({ length: n }, () => SYMBOLS[Math.floor(roll() * 32)]).join('');
  const text = `HTTPS://BARN.EXAMPLE/#/B/${symbols(8)}.${symbols(3)}.${symbols(5)}.${1 + Math.floor(roll() * 40)}.KNG.${symbols(4)}`;
  return { text, ...await square(text, { ecLevel: 'M', addQuietZones: false }) };
}

/** Film number `seed`: the text of its label, and a function that draws frame 0 to 19. */
export async function approach(seed) {
  const roll = dice(seed * 7919 + 17);
  const between = (low, high) => low + (high - low) * roll();
  const { text, n, dark } = await code(roll);
  const [from, to] = [between(1.2, 1.9), between(3.5, 7)];
  const [ink, paper] = [between(20, 60), between(170, 235)];
  const light = between(0.35, 1);
  const noise = between(2, 9);
  const [roll0, turning] = [between(0, 6.28), between(-0.5, 0.5)];
  const [tilt0, axis] = [between(0.1, 0.75), between(0, 6.28)];
  const shake = between(0.3, 1.5);
  const hunts = between(0.5, 3);
  const wobble = Array.from({ length: 6 }, () => between(0, 6.28));
  const [side, up] = [between(-260, 260), between(-120, 120)];
  const damp = Array.from({ length: Math.floor(between(0, 5)) }, () => ({ x: between(0, n), y: between(0, n), r: between(0.6, 2.2), dark: between(0.2, 0.9) }));
  const desk = Float32Array.from({ length: 33 * 19 }, () => between(40, 150));

  const frame = (k) => {
    const t = k / (FRAMES - 1);
    const along = t * t * (3 - 2 * t);
    const module = from * (to / from) ** along;
    const angle = roll0 + turning * t + 0.04 * Math.sin(wobble[0] + 5 * t);
    const tilt = tilt0 * (1 - 0.6 * along) + 0.06 * Math.sin(wobble[1] + 7 * t);
    const cx = W / 2 + side * (1 - along) + 30 * Math.sin(wobble[2] + 6 * t);
    const cy = H / 2 + up * (1 - along) + 30 * Math.sin(wobble[3] + 7 * t);
    // The camera finds its focus a while after it has come near.
    const blur = 0.55 + 0.32 * module * Math.max(0, Math.sin(hunts * 3.1 * t + wobble[4])) * (1 - 0.7 * t);
    const speed = shake * module * (0.25 + 0.75 * Math.abs(Math.sin(9 * t + wobble[5]))) * (1 - 0.5 * t);
    const [mx, my] = [Math.cos(angle * 3 + 9 * t) * speed, Math.sin(angle * 3 + 9 * t) * speed];
    return draw({ module, angle, tilt, axis, cx, cy, blur, mx, my, k });
  };

  /** From pixels around the label's middle back to modules from the code's: nine numbers of a homography. */
  const plane = ({ module, angle, tilt, axis, cx, cy }) => {
    const [ca, sa, ct, st, cx2, sx2] = [Math.cos(angle), Math.sin(angle), Math.cos(tilt), Math.sin(tilt), Math.cos(axis), Math.sin(axis)];
    // Turned in its plane, then leant about an axis in it.
    const lean = (x, y) => {
      const a = x * cx2 + y * sx2;
      const b = -x * sx2 + y * cx2;
      return [a * cx2 - b * ct * sx2, a * sx2 + b * ct * cx2, b * st];
    };
    const [ux, uy, uz] = lean(ca, sa);
    const [vx, vy, vz] = lean(-sa, ca);
    const distance = FOCAL / module;
    // Pixel = middle + focal × (u·U + v·V)/(distance + u·Uz + v·Vz): a homography, inverted below.
    const h = [FOCAL * ux, FOCAL * vx, 0, FOCAL * uy, FOCAL * vy, 0, uz, vz, distance];
    const det = h[0] * (h[4] * h[8]) - h[1] * (h[3] * h[8]);
    const inverse = [
      h[4] * h[8], -h[1] * h[8], 0,
      -h[3] * h[8], h[0] * h[8], 0,
      h[3] * h[7] - h[4] * h[6], h[1] * h[6] - h[0] * h[7], h[0] * h[4] - h[1] * h[3],
    ].map((v) => v / det);
    return inverse;
  };

  const half = n / 2;
  /** What stands at a place on the label; NaN beside it. */
  const print = (u, v) => {
    if (u < -half - 4 || v < -half - 4 || u > half + 34 || v > half + 4) return NaN;
    const [x, y] = [u + half, v + half];
    for (const spot of damp) {
      if ((x - spot.x) ** 2 + (y - spot.y) ** 2 < spot.r ** 2) return paper + (ink - paper) * 0.5 * spot.dark;
    }
    if (x >= 0 && y >= 0 && x < n && y < n) return dark[Math.floor(y) * n + Math.floor(x)] ? ink : paper;
    // Lines of writing beside the square.
    const row = Math.floor(v + half);
    if (x > n + 5 && x < n + 30 && row % 6 < 2 && Math.sin(x * 2.3 + row) > -0.1) return ink;
    return paper;
  };

  const draw = (view) => {
    const image = new Float32Array(W * H);
    for (let y = 0; y < H; y += 1) {
      const gy = (y / H) * 17.9;
      for (let x = 0; x < W; x += 1) {
        const gx = (x / W) * 31.9;
        const [ix, iy] = [gx | 0, gy | 0];
        const [fx, fy] = [gx - ix, gy - iy];
        const at = iy * 33 + ix;
        image[y * W + x] = (desk[at] * (1 - fx) + desk[at + 1] * fx) * (1 - fy) + (desk[at + 33] * (1 - fx) + desk[at + 34] * fx) * fy;
      }
    }
    const back = plane(view);
    const at = (x, y) => {
      const [px, py] = [x - view.cx, y - view.cy];
      const w = back[6] * px + back[7] * py + back[8];
      return print((back[0] * px + back[1] * py) / w, (back[3] * px + back[4] * py) / w);
    };
    const reach = (n + 42) * view.module * 1.2;
    const [x0, x1] = [Math.max(0, Math.floor(view.cx - reach)), Math.min(W, Math.ceil(view.cx + reach))];
    const [y0, y1] = [Math.max(0, Math.floor(view.cy - reach)), Math.min(H, Math.ceil(view.cy + reach))];
    for (let y = y0; y < y1; y += 1) {
      for (let x = x0; x < x1; x += 1) {
        let sum = 0;
        for (let s = 0; s < 5; s += 1) {
          const shift = (s - 2) / 4;
          for (let q = 0; q < 4; q += 1) {
            const grey = at(x + 0.25 + 0.5 * (q & 1) + view.mx * shift, y + 0.25 + 0.5 * (q >> 1) + view.my * shift);
            sum += Number.isNaN(grey) ? image[y * W + x] : grey;
          }
        }
        image[y * W + x] = sum / 20;
      }
    }
    soften(image, view.blur, x0, y0, x1, y1);
    const grey = new Uint8Array(W * H);
    const start = (Math.floor(roll() * NOISE.length) + view.k) % NOISE.length;
    for (let i = 0; i < grey.length; i += 1) {
      grey[i] = Math.max(0, Math.min(255, image[i] * light + noise * NOISE[(start + i) % NOISE.length] + 4));
    }
    return grey;
  };
  return { text, frame };
}

/** A Gaussian of so many pixels over a part of the picture. */
function soften(image, sigma, x0, y0, x1, y1) {
  const reach = Math.ceil(2.5 * sigma);
  const weights = Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-((i - reach) ** 2) / (2 * sigma * sigma)));
  const all = weights.reduce((a, b) => a + b);
  const line = new Float32Array(Math.max(x1 - x0, y1 - y0));
  const pass = (count, at) => {
    for (let i = 0; i < count; i += 1) {
      let sum = 0;
      for (let k = -reach; k <= reach; k += 1) sum += weights[k + reach] * image[at(Math.max(0, Math.min(count - 1, i + k)))];
      line[i] = sum / all;
    }
    for (let i = 0; i < count; i += 1) image[at(i)] = line[i];
  };
  for (let y = y0; y < y1; y += 1) pass(x1 - x0, (i) => y * W + x0 + i);
  for (let x = x0; x < x1; x += 1) pass(y1 - y0, (i) => (y0 + i) * W + x);
}
