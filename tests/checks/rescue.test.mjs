// What the rescue page makes of lines is handed to the app's own reader and to one in another language. Its strictness is
// compared with the journal's, line by line: one line that readers refuse would make them refuse the whole file.
//
// Needs a Python, named in CANDLEMARK_PYTHON or `python3`.
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { cp, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { fileURLToPath } from 'node:url';
import { strangersLines } from '../browser/harness/stranger.mjs';

const root = fileURLToPath(new URL('../../', import.meta.url));
const sha256 = (bytes) => createHash('sha256').update(bytes).digest('hex');
const MADE = '2026-06-09T21:40+02:00';

let dir;
let rescue;
let vectors;
before(async () => {
  dir = await mkdtemp(join(tmpdir(), 'candlemark-rescue-'));
  // Beside a note that says what these files are, Node takes them as the browser does.
  await cp(`${root}public/rescue`, dir, { recursive: true });
  await writeFile(join(dir, 'package.json'), '{"type": "module"}');
  const parts = ['line', 'zip', 'chains', 'bundle', 'contents', 'store'];
  rescue = Object.assign({}, ...await Promise.all(parts.map((part) => import(join(dir, `${part}.js`)))));
  vectors = JSON.parse(await readFile(`${root}public/format/vectors.json`, 'utf8'));
});
after(() => rm(dir, { recursive: true, force: true }));

function program(command, args) {
  const { status, stdout, stderr } = spawnSync(command, args, { cwd: root, encoding: 'utf8', maxBuffer: 1 << 28 });
  assert.equal(status, 0, stderr);
  return stdout;
}

/** What the journal's own reader says of a file. */
async function journalReads(content) {
  const file = join(dir, 'file');
  await writeFile(file, content);
  return program('cargo', ['run', '--quiet', '--example', 'reads', '--', file]);
}

async function journalReadsBundle(file) {
  return JSON.parse(await journalReads(Buffer.from(await file.arrayBuffer())));
}

const made = async (texts, about = {}) => {
  const { lines, unreadable } = await rescue.gather(texts.map((text, at) => ({ where: `entries ${at}`, text })));
  const { file, left } = await rescue.bundle({ lines, made: MADE, ...about });
  return { lines, unreadable, file, left };
};

/** A line whose hash the others do not know. */
const changed = (line, act) => JSON.stringify(act(JSON.parse(line)));

/** A small picture's first bytes, of so many pixels a side. */
const jpeg = (side) => Uint8Array.from([0xff, 0xd8, 0xff, 0xe0, 0, 4, 1, 2, 0xff, 0xc0, 0, 17, 8, side >> 8, side & 255, side >> 8, side & 255, 3, 1, 0x22, 0, 2, 0x11, 1, 3, 0x11, 1]);

test('what the rescue page takes for a line is what the journal takes for one', async () => {
  const sound = vectors.flatMap(({ lines }) => lines).concat(strangersLines(3));
  const set = (f, more = {}) => ({ kind: 'note', id: 'N1', f, ...more });
  const base = JSON.parse(sound.find((line) => JSON.parse(line).v === 2 && JSON.parse(line).seq > 1));
  const first = JSON.parse(sound.find((line) => JSON.parse(line).v === 2 && JSON.parse(line).seq === 1));
  const whole = `${base.dev}.1.${'a'.repeat(64)}`;
  const short = `${base.dev}.1.aaaaaaaa`;
  const deep = (levels) => JSON.parse('['.repeat(levels) + ']'.repeat(levels));
  const parts = [
    { v: 0 }, { v: 3 }, { v: 1.5 }, { v: '2' }, { v: null }, { seq: 0 }, { seq: 1 }, { seq: 100_000_000 }, { seq: -1 }, { seq: '2' },
    { dev: base.dev.toLowerCase() }, { dev: 'ILOU0000' }, { dev: '1234567' }, { book: '' }, { book: 12345678 },
    { prev: base.prev.toUpperCase() }, { prev: base.prev.slice(1) }, { prev: null }, { key: 'a'.repeat(64) },
    { at: '019eadd4a1c0-000' }, { at: '019EADD4A1C0-0000' }, { wall: '2026-06-09T21:40' }, { wall: '2026-99-99T99:99-99:99' }, { wall: '2026-06-09T21:40+02:00\n' },
    { by: '' }, { by: 'a'.repeat(64) }, { by: 'é'.repeat(33) }, { by: 'a\tb' }, { by: 'a\u0085b' }, { by: '\u200b' }, { app: 7 },
    { act: 'Two words' }, { act: 'Ünter' }, { act: '__proto__' }, { act: 'a'.repeat(65) },
    { sets: null }, { sets: {} }, { sets: [] }, { sets: [null] }, { sets: [[]] }, { sets: [set({})] }, { sets: [set(null)] }, { sets: [set([])] },
    { sets: [set({ a: 1 }), set({ b: 1 })] }, { sets: [set({ 'a b': 1 })] }, { sets: [set({ constructor: 1 })] }, { sets: [{ kind: 'note', id: 'a b', f: {} }] },
    { sets: [{ kind: 'note', id: '_.:-', f: {} }] }, { sets: [{ id: 'N1', f: {} }] }, { sets: [{ kind: 'note', id: 7, f: {} }] },
    { sets: [set(Object.fromEntries(Array.from({ length: 256 }, (_, n) => [`f${n}`, n])))] }, { sets: [set(Object.fromEntries(Array.from({ length: 257 }, (_, n) => [`f${n}`, n])))] },
    { sets: Array.from({ length: 2048 }, (_, n) => ({ kind: 'note', id: `N${n}`, f: {} })) }, { sets: Array.from({ length: 2049 }, (_, n) => ({ kind: 'note', id: `N${n}`, f: {} })) },
    { sets: [set({ a: 1 }, { over: null })] }, { sets: [set({ a: 1 }, { over: { a: [whole] } })] }, { sets: [set({ a: 1 }, { over: { a: [short] } })] },
    { sets: [set({ a: 1 }, { over: { b: [whole] } })] }, { sets: [set({ a: 1 }, { over: { a: whole } })] }, { sets: [set({ a: 1 }, { over: { a: Array(257).fill(whole) } })] },
    { sets: [set({ a: 1 }, { over: { a: [`${base.dev}.01.${'a'.repeat(64)}`] } })] }, { sets: [set({ a: deep(12) })] }, { sets: [set({ a: deep(13) })] }, { sets: [set({ a: deep(14) })] },
    { sets: [set({ a: 1.5 })] }, { sets: [set({ a: 1e300 })] }, { sets: [set({ a: 'x'.repeat(1 << 20) })] }, { sets: [set({ a: 'é'.repeat(1 << 19) })] },
    { undoes: whole }, { undoes: short }, { undoes: null }, { continues: whole }, { crit: [] }, { crit: ['a'] }, { crit: ['a b'] }, { crit: 'a' }, { crit: Array(17).fill('a') },
    { other: { any: [1, null, true] } },
  ];
  const nasty = parts.flatMap((part) => [{ ...base, ...part }, { ...first, ...part }]).map((line) => JSON.stringify(line));
  const text = JSON.stringify(base);
  const end = (more) => `${text.slice(0, -1)},${more}}`;
  nasty.push(
    '', ' ', '{}', '[]', 'null', '"a"', `${text} `, ` ${text}`, `${text}x`, `\ufeff${text}`, text.slice(0, -1), text.replace('{', '{ '), `[${text}]`,
    end('"v":2'), end('"\\u0076":2'), end('"z":{"a":1,"a":1}'), end('"z":[{"a":1},{"a":1}]'), end('"z":["a","a"]'), end('"z":{"a":"b","b":"a"}'), end('"__proto__":1'), end('"__proto__":1,"__proto__":1'),
    ...['1.0', '1e2', '-0', '0', '-1', '18446744073709551615', '18446744073709551616', '-9223372036854775808', '-9223372036854775809', '01', '+1', '.5', 'NaN'].map((n) => end(`"z":${n}`)),
    ...['"\\ud800"', '"\\udc00\\ud800"', '"\\ud83d\\ude00"', '"😀"', '"\\u0000"', '"\u0001"', '"\\x"', '"\\\\u00"', '"\\"\\\\"', '"a\tb"', '"\u2028"'].map((z) => end(`"z":${z}`)),
    end('"\\ud800":1'),
  );
  // Every vector's line with each of its characters lost in turn, one line at a time being enough of the long ones.
  for (const line of [sound[0], sound[1], sound.at(-1)]) for (let at = 0; at < line.length; at += 1) nasty.push(line.slice(0, at) + line.slice(at + 1));
  const all = [...sound, ...nasty];
  const ours = all.map((line) => {
    try {
      rescue.readLine(line);
      return 'entry';
    } catch (error) {
      assert.ok(error instanceof rescue.Refused, String(error));
      return 'refused';
    }
  });
  const theirs = (await journalReads(all.join('\n'))).trimEnd().split('\n');
  assert.equal(theirs.length, all.length);
  all.forEach((line, at) => assert.equal(ours[at], theirs[at].split(' ')[0], `${theirs[at]}: ${line.slice(0, 400)}`));
  assert.ok(ours.slice(sound.length).includes('entry') && ours.slice(0, sound.length).every((said) => said === 'entry'));
  // What no file of UTF-8 can hold.
  assert.throws(() => rescue.readLine(end('"z":"\ud800"')), rescue.Refused);
});

test('whole chains, gaps, branches and other books: the reader takes the file', async () => {
  // Of no lines the page makes no bundle.
  for (const { name, lines } of vectors.filter((vector) => vector.lines.length > 0)) {
    const { file } = await made([lines.join('\n')]);
    const read = await journalReadsBundle(file);
    assert.deepEqual([read.lines, read.heads], [new Set(lines).size, true], name);
  }
  const chain = strangersLines(40);
  const other = changed(chain[0], (line) => ({ ...line, book: '0ANXTHER', dev: '0ANXTHRR' }));
  const branch = changed(chain[20], (line) => ({ ...line, by: 'Someone' }));
  const holed = chain.filter((_, at) => ![3, 10, 11].includes(at));
  const { file, lines } = await made([...holed.reverse(), other, branch, chain[5]]);
  const read = await journalReadsBundle(file);
  assert.deepEqual(read, { lines: 39, folded: 4, heads: true, devices: 2, people: 0, photos: 0 });
  const told = rescue.chains(lines).get('0STRANGR');
  assert.deepEqual({ ...told, head: undefined }, { count: 3, head: undefined, breaks: 2, lines: 38, waiting: 35, gaps: [[4, 4], [11, 12]] });
  assert.equal(told.head, sha256(chain[2]));
});

test('a device whose first lines are lost is taken too', async () => {
  const read = await journalReadsBundle((await made(strangersLines(9).slice(4))).file);
  assert.deepEqual(read, { lines: 5, folded: 0, heads: true, devices: 1, people: 0, photos: 0 });
});

test('lines of more than one file, with and without the browser\'s deflating', async () => {
  const chain = strangersLines(5003);
  const small = await made([chain.join('\n')]);
  const deflater = globalThis.CompressionStream;
  let plain;
  try {
    globalThis.CompressionStream = undefined;
    plain = await made([chain.join('\n')]);
  } finally {
    globalThis.CompressionStream = deflater;
  }
  assert.ok(plain.file.size > 2 * small.file.size);
  for (const { file } of [small, plain]) {
    assert.deepEqual(await journalReadsBundle(file), { lines: 5003, folded: 5003, heads: true, devices: 1, people: 0, photos: 0 });
    const python = JSON.parse(program(process.env.CANDLEMARK_PYTHON ?? 'python3', ['tests/checks/read_bundle.py', 'bundle', join(dir, 'file')]));
    assert.deepEqual([python.acts, python.records.note], [5003, 5002]);
  }
});

test('people and pictures that readers would refuse are left out, the others are in it', async () => {
  const salt = '0123456789abcdef0123456789abcdef';
  const content = '{"name":"Müller"}';
  const digest = sha256(Buffer.concat([Buffer.from(salt, 'hex'), Buffer.from(content)]));
  const person = JSON.stringify({ salt, content });
  const pictures = [jpeg(40), jpeg(9000), new Uint8Array(60), jpeg(40).slice(0, 12)].map((bytes) => [sha256(bytes), async () => new Blob([bytes])]);
  const lost = ['a'.repeat(64), () => Promise.reject(new Error('gone'))];
  const wrong = ['b'.repeat(64), async () => new Blob([jpeg(41)])];
  const people = [[digest, person], ['c'.repeat(64), person], ['d'.repeat(64), 'no JSON']];
  const { file, left } = await made(strangersLines(2), { people, pictures: [...pictures, lost, wrong] });
  const read = await journalReadsBundle(file);
  assert.deepEqual([read.people, read.photos], [1, 1]);
  assert.deepEqual(left, ['c'.repeat(64), 'd'.repeat(64), ...pictures.slice(1).map(([key]) => key), 'a'.repeat(64), 'b'.repeat(64)]);
});

test('a damaged store gives its sound lines; the rest is named', async () => {
  const chain = strangersLines(6);
  const torn = chain[4].slice(0, 90);
  const stores = new Map([
    ['entries', [{ key: '0STRANGR.0000000006', value: chain[5] }, { key: '0STRANGR.0000000007', value: { line: chain[5] } }]],
    ['blocks', [{ key: 'seal.000000000001.000000', value: [...chain.slice(0, 3), torn].join('\n') }, { key: 7, value: undefined }]],
    ['aside', [{ key: 'import.00000001.000000', value: chain[3] }, { key: 'harmed.000000000002.000000', value: chain[4] }]],
    ['people', [{ key: 'e'.repeat(64), value: 'Ann Smith' }]],
  ]);
  const held = { name: 'candlemark:/barn', version: 3, stores, unread: [{ where: 'blocks x', why: 'DataError' }] };
  const plain = await rescue.sorted(held);
  assert.equal(plain.lines.length, 4);
  assert.deepEqual(plain.unread.map(({ where }) => where), ['blocks x', 'entries 0STRANGR.0000000007', 'blocks 7', 'blocks seal.000000000001.000000, line 4']);
  assert.deepEqual([plain.absent, plain.counts], [['meta', 'photos'], { imports: 1, harmed: 1, locked: 0 }]);
  const more = await rescue.sorted(held, { aside: true });
  assert.deepEqual(more.lines.map(({ seq }) => seq), [1, 2, 3, 4, 6]);
  const { file } = await rescue.bundle({ ...more, people: [], pictures: [], made: MADE });
  assert.deepEqual(await journalReadsBundle(file), { lines: 5, folded: 4, heads: true, devices: 1, people: 0, photos: 0 });

  const all = JSON.parse(await rescue.everything(held, { made: MADE, people: false, unread: plain.unread }).text());
  assert.equal(all.stores.aside[1][1], chain[4]);
  assert.deepEqual(all.stores.entries[1][1], { line: chain[5] });
  assert.equal(all.unread.length, 4);
  assert.ok(!JSON.stringify(all).includes('Ann Smith'));
});

test('which device this is goes by its own lines, where that does not stand there any more', async () => {
  const theirs = strangersLines(6);
  const own = theirs[0].replaceAll('0STRANGR', '0WNDEV1C');
  const stores = new Map([
    ['entries', [{ key: '0WNDEV1C.0000000001', value: own }, ...theirs.slice(0, 3).map((value, n) => ({ key: `from.0STRANGR.000000000${n + 1}.${sha256(Buffer.from(value))}`, value }))]],
    ['blocks', [{ key: 'from.000000000002.000000', value: theirs[3] }, { key: 'import.00000001.000000', value: theirs.slice(4).join('\n') }]],
    ['aside', []], ['meta', []], ['people', []], ['photos', []],
  ]);
  const found = await rescue.sorted({ name: 'candlemark:/barn', version: 3, stores, unread: [] });
  assert.equal(found.lines.length, 7);
  assert.deepEqual(found.own, ['0WNDEV1C']);
  assert.equal(rescue.manifest({ ...found, made: MADE, sums: {} }).by, '0WNDEV1C');
});

test('the key a device signs with is in neither file', async () => {
  const [line] = strangersLines(1);
  const secret = Array.from({ length: 32 }, (_, n) => 200 - n);
  const me = JSON.stringify({ book: '0STRANGE', dev: '0STRANGR', by: 'Ines', secret });
  for (const value of [me, me.slice(0, -3)]) {
    const stores = new Map([['entries', [{ key: 'a', value: line }]], ['meta', [{ key: 'me', value }, { key: 'tip', value: '{}' }]]]);
    const held = { name: 'candlemark:/barn', version: 3, stores, unread: [] };
    const found = await rescue.sorted(held);
    assert.equal(found.unread.length, value === me ? 0 : 1);
    const texts = [await rescue.everything(held, { made: MADE, people: true, unread: [] }).text(), JSON.stringify(rescue.manifest({ ...found, made: MADE, sums: {} }))];
    for (const text of texts) assert.ok(!text.includes('199,198') && text.includes('0STRANGR'), text);
  }
});

test('what meta knew goes into the bundle, and only what is sound of it', async () => {
  const { lines } = await rescue.gather([{ where: 'entries', text: strangersLines(2).join('\n') }]);
  const signed = { count: 2, head: lines[1].hash, signature: 'f'.repeat(128) };
  const exchange = { joined: ['0ANXTHER', 'no id', '0STRANGE'], signed: { '0STRANGR': signed, '0ANXTHRR': { count: 1 } } };
  const told = rescue.manifest({ lines, me: { book: '0STRANGE', dev: '0ANXTHRR' }, exchange, made: MADE, sums: {} });
  assert.deepEqual([told.book, told.joined, told.by, told.whole, told.digest], ['0STRANGE', ['0ANXTHER'], '0ANXTHRR', false, undefined]);
  assert.deepEqual(told.devices, { '0STRANGR': { count: 2, head: lines[1].hash, signed } });
  const lost = rescue.manifest({ lines, me: undefined, exchange: undefined, own: ['0STRANGR'], made: MADE, sums: {} });
  assert.deepEqual([lost.book, lost.by, lost.joined], ['0STRANGE', '0STRANGR', undefined]);
});

test('databases are named as the app names them, and times as lines do', () => {
  assert.deepEqual(rescue.names('/barn/candlemark/rescue.html'), { barn: 'candlemark:/barn/candlemark/barn', demo: 'candlemark:/barn/candlemark/demo' });
  assert.match(rescue.wallOf(new Date()), /^\d{4}-\d\d-\d\dT\d\d:\d\d[+-]\d\d:\d\d$/);
  assert.deepEqual(rescue.span([{ wall: '2026-06-09T01:00+02:00' }, { wall: '2026-06-08T23:30+00:00' }, { wall: '2026-99-99T99:99+00:00' }]), { from: '2026-06-09T01:00+02:00', to: '2026-06-08T23:30+00:00' });
});
