// What the monkey types, and how it is found again: words nobody else would write, and odd figures.

const FIGURES = [
  '12,5', '12.5', '8 oz', '82F', '3l.5', '12..5', '-5', '1e9', '١٢', '٣', '1,486', '0', '7', '3', '40', '312g', '27.8 °C',
  '1 lb 3 oz', '4 cm', '0.6 in', '98O', '9'.repeat(40), '½', '1/2', '0,0', '+6', '1 486', '99999', '0.0001', ' 6 ',
];
const BLANK = ['', '   '];
const DATES = ['2026-06-01', '2026-02-28', '0001-01-01', '9999-12-31', '2026-12-24', '2025-05-03', ''];
const TIMES = ['00:00', '23:59', '07:05', ''];

/** What may be typed into any field; `n` makes a word that stands nowhere else. */
const words = (n) => [
  `quorl${n}`, `Quorl${n} vex`, `quorl${n} ${'longlonglong'.repeat(5)}`, `quorl${n} ${'word '.repeat(30)}`.trim(), `🐍quorl${n}🥚`, `שלום quorl${n}`, `مرحبا quorl${n}`,
  `<b>quorl${n}</b>`, `quorl${n}; DROP "x"`, `quorl${n} & 'co'`, `  quorl${n}  `, `quorl${n},quorl`, `é̃quorl${n}`, `${'q'.repeat(60)}uorl${n}`, `quorl${n}/ä?#%25`,
];

/** A text for the field that was aimed at. */
export function something(luck, field, n) {
  if (field.type === 'date') return { text: luck.of(DATES), set: true };
  if (field.type === 'time') return { text: luck.of(TIMES), set: true };
  const odd = luck.share();
  if (odd < 0.06) return { text: luck.of(BLANK) };
  return { text: odd < 0.5 ? luck.of(FIGURES) : luck.of(words(n)) };
}

const plain = (text) => text.normalize('NFC').replace(/\s+/g, ' ').trim().toLowerCase();

/** All texts and numbers in a line's fields, or in any other text of JSON. */
function leaves(value, into = { texts: [], numbers: [] }) {
  if (typeof value === 'number') into.numbers.push(value);
  else if (typeof value === 'string') {
    into.texts.push(plain(value));
    // An amount of money has its currency behind it.
    if (/^\d+(\.\d+)? [A-Z]{3}$/.test(value)) into.numbers.push(parseFloat(value));
  }
  else if (value && typeof value === 'object') for (const [key, inner] of Object.entries(value)) { into.texts.push(plain(key)); leaves(inner, into); }
  return into;
}

const ARABIC = '٠١٢٣٤٥٦٧٨٩';
// From what may be typed to the small units that are stored: milligrams, hundredths of a degree, micrometres, and
// decimals (trade::units). An ounce is 28.349523125 g, an inch 25.4 mm (NIST Handbook 44, appendix C).
const UNITS = [1, 10, 100, 1000, 10_000, 1_000_000, 28_349.523125, 453_592.37, 25_400, 1 / 24, 24, 7];

/** What a figure may be worth: read with a point or a comma, or a comma between thousands. */
function worths(text) {
  const ascii = text.replace(/[٠-٩]/g, (digit) => ARABIC.indexOf(digit));
  const figures = [...ascii.matchAll(/[-+]?\d[\d.,\u00a0 ]*/g)].map(([figure]) => figure.replace(/[\u00a0 ]/g, ''));
  const read = figures.flatMap((figure) => [Number(figure.replace(',', '.')), Number(figure.replaceAll(',', ''))]);
  if (/lb.*oz/.test(ascii)) read.push(Number(figures[0]) * 16 + Number(figures[1]));
  if (/½|1\/2/.test(ascii)) read.push(0.5);
  return read.filter(Number.isFinite);
}

/** Whether what was typed stands in what was written since: lines, details of people, or what the device prefers. */
export function isKept(text, writes, prefs) {
  const looked = plain(text);
  const all = { texts: [plain(prefs)], numbers: [] };
  let made = 0;
  for (const [store, , value] of writes) {
    if (!['entries', 'people'].includes(store)) continue;
    let held;
    try { held = JSON.parse(value); } catch { all.texts.push(plain(value)); continue; }
    if (store === 'people' && JSON.stringify(held).includes('age-encryption')) return true;
    made += held.sets?.length ?? 0;
    leaves(store === 'entries' ? held.sets : held, all);
  }
  // Digits alone stand in many an id and date: as a text only where they are all of it.
  const digits = /^[\d.,+\- ]*$/.test(looked);
  const escaped = looked.replace(/"/g, '\\"');
  if (all.texts.some((one) => (digits ? one === looked || one.startsWith(`${looked}t`) : one.includes(looked) || one.includes(escaped)))) return true;
  for (const worth of worths(text)) {
    if (worth >= 0 && worth === made) return true;
    for (const unit of [...UNITS, -1]) {
      const small = worth * unit;
      if (all.numbers.some((number) => Math.abs(number - small) < 0.6 || Math.abs(number - small) < 1e-6 * Math.abs(small))) return true;
    }
    const cc = ((worth - 32) / 1.8) * 100;
    if (all.numbers.some((number) => Math.abs(number - cc) < 1)) return true;
    // A count makes as many records.
    if (Number.isInteger(worth) && worth > 0 && worth < 200 && made > worth) return true;
  }
  return false;
}
