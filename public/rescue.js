// The rescue page: says what lies on this device and gives it out. It needs IndexedDB and nothing of the app.

import { bundle, wallOf } from './rescue/bundle.js';
import { everything, sorted } from './rescue/contents.js';
import { names, picture, readAll } from './rescue/store.js';

/** The most pieces that could not be read to be listed one by one. */
const LISTED = 50;
const MONTHS = ['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September', 'October', 'November', 'December'];

const status = document.getElementById('status');

const number = (n) => n.toLocaleString('en-GB');
const count = (n, one, many) => `${number(n)} ${n === 1 ? one : many}`;
const why = (error) => error?.message || String(error);

/** A wall time as people say it: 9 June 2026, 21:40. */
function moment(wall) {
  const [year, month, day] = wall.slice(0, 10).split('-').map(Number);
  return `${day} ${MONTHS[month - 1]} ${year}, ${wall.slice(11, 16)}`;
}

function size(bytes) {
  if (bytes < 1000) return count(bytes, 'byte', 'bytes');
  return bytes < 1_000_000 ? `${Math.ceil(bytes / 1000)} kB` : `${(bytes / 1_000_000).toFixed(1)} MB`;
}

function list(place, texts) {
  place.replaceChildren(...texts.map((text) => Object.assign(document.createElement('li'), { textContent: text })));
  place.hidden = texts.length === 0;
}

/** What was found, in sentences. */
function facts({ lines, devices, span, people, pictures, counts, absent }) {
  const out = [];
  const written = span ? `, written from ${moment(span.from)} to ${moment(span.to)} by their clocks` : '';
  out.push(lines.length === 0 ? 'No line of records could be read.' : `${count(lines.length, 'line', 'lines')} of ${count(devices.size, 'device', 'devices')}${written}.`);
  for (const [dev, { gaps, waiting }] of devices) {
    const missing = gaps.map(([from, to]) => (from === to ? number(from) : `${number(from)} to ${number(to)}`));
    if (missing.length > 0) out.push(`Of device ${dev.slice(0, 4)} these entries are not here: ${missing.slice(0, 20).join(', ')}${missing.length > 20 ? ' and others' : ''}.`);
    if (waiting > 0) out.push(`Of device ${dev.slice(0, 4)} ${count(waiting, 'entry waits', 'entries wait')} for earlier ones. The bundle holds them all the same.`);
  }
  if (counts.imports > 0) out.push(`Bundles that were set aside: ${count(counts.imports, 'piece', 'pieces')}.`);
  if (counts.harmed > 0) out.push(`Damaged pieces set aside: ${number(counts.harmed)}. They go only into the second file.`);
  if (pictures.length > 0) out.push(`${count(pictures.length, 'picture', 'pictures')}.`);
  if (people.length > 0) out.push(`Details of ${count(people.length, 'person', 'people')} outside the barn.`);
  if (counts.locked > 0) out.push(`Details of ${count(counts.locked, 'person', 'people')} outside the barn, locked with a passphrase. They go only into the second file, as they are: the program “age” opens them there with the passphrase.`);
  if (absent.length > 0) out.push(`Not in this database: ${absent.join(', ')}.`);
  return out;
}

/** Shows a file to be saved or, where the browser can, sent. */
function offer(part, file, name) {
  const out = part('out');
  const save = document.createElement('a');
  if (out.firstElementChild) URL.revokeObjectURL(out.firstElementChild.href);
  Object.assign(save, { className: 'save', href: URL.createObjectURL(file), download: name, textContent: `Save ${name}` });
  out.replaceChildren(save);
  const data = { files: [new File([file], name, { type: file.type })] };
  if (navigator.canShare?.(data)) {
    const send = Object.assign(document.createElement('button'), { type: 'button', textContent: 'Send it' });
    send.addEventListener('click', () => navigator.share(data).catch((error) => {
      if (error.name !== 'AbortError') part('said').textContent = `It could not be sent (${why(error)}). Save it instead.`;
    }));
    out.append(send);
  }
  save.focus();
}

/** One database on the page. */
async function show(title, name, held) {
  const section = document.getElementById('records').content.cloneNode(true).querySelector('section');
  const part = (which) => section.querySelector(`[data-part="${which}"]`);
  const say = (text, warn = false) => {
    part('said').textContent = text;
    part('said').classList.toggle('warn', warn);
  };
  const ticked = (which) => part(which).checked && !part(`with-${which}`).hidden;
  part('title').textContent = title;
  const canHash = !!globalThis.crypto?.subtle;
  let found;
  if (canHash) {
    found = await sorted(held, {}, (lines) => { if (lines % 10_000 === 0) status.textContent = `Reading… ${count(lines, 'line', 'lines')}`; });
    list(part('facts'), facts(found));
  } else {
    list(part('facts'), ['This address is not a safe one (https), so the browser does not let this page make a bundle. The second file can be had.']);
  }
  const unread = found?.unread ?? held.unread;
  part('trouble').hidden = unread.length === 0;
  part('trouble-said').textContent = `${count(unread.length, 'piece', 'pieces')} could not be read`;
  const more = unread.length > LISTED ? [`And ${number(unread.length - LISTED)} more.`] : [];
  list(part('unread'), [...unread.slice(0, LISTED).map(({ where, why: told }) => `${where.length > 80 ? `${where.slice(0, 80)}…` : where}: ${told}.`), ...more]);
  part('with-aside').hidden = !found?.counts.imports;
  part('with-pictures').hidden = !found?.pictures.length;
  part('with-people').hidden = !held.stores.get('people')?.length;
  part('make').hidden = !canHash;
  part('make-said').hidden = !canHash;

  const buttons = [part('make'), part('all')];
  const run = (act) => async () => {
    buttons.forEach((button) => { button.disabled = true; });
    say('Working…');
    try {
      await act();
    } catch (error) {
      say(`The file could not be made: ${why(error)}.`, true);
    }
    buttons.forEach((button) => { button.disabled = false; });
  };
  const day = () => wallOf(new Date()).slice(0, 10);

  part('make').addEventListener('click', run(async () => {
    const all = ticked('aside') ? await sorted(held, { aside: true }) : found;
    if (all.lines.length === 0) return say('No line could be read, so there is nothing to make a bundle of. Give the second file to somebody who can read it.', true);
    const people = ticked('people') ? all.people : [];
    const pictures = ticked('pictures') ? all.pictures.map((key) => [key, () => picture(name, key)]) : [];
    const { file, left } = await bundle({ ...all, people, pictures, made: wallOf(new Date()) }, (at, of) => say(`Working… picture ${number(at + 1)} of ${number(of)}`));
    const without = left.length ? ` ${count(left.length, 'picture or person was', 'pictures or people were')} left out: damaged, or too large.` : '';
    say(`The bundle is ready: ${count(all.lines.length, 'line', 'lines')}, ${size(file.size)}.${without}`);
    offer(part, file, `barn-rescue-${day()}.zip`);
  }));
  part('all').addEventListener('click', run(async () => {
    const file = everything(held, { made: wallOf(new Date()), people: ticked('people'), unread });
    say(`The file is ready: ${size(file.size)}.`);
    offer(part, file, `barn-as-it-lies-${day()}.json`);
  }));
  document.getElementById('found').append(section);
}

async function start() {
  const { barn, demo } = names();
  const troubles = [];
  let shown = 0;
  for (const [title, name] of [['Your records', barn], ['Alder Lane, the invented season', demo]]) {
    try {
      const held = await readAll(name);
      if (!held) continue;
      await show(title, name, held);
      shown += 1;
    } catch (error) {
      troubles.push(`${title}: could not be opened (${why(error)}).`);
    }
  }
  status.classList.toggle('warn', troubles.length > 0);
  const none = 'There are no records of this address in this browser. On an iPhone the app on the home screen and the browser keep separate records: open this page from where you kept yours.';
  status.textContent = [...troubles, shown > 0 || troubles.length > 0 ? '' : none, shown > 0 ? 'This is what was found:' : ''].filter(Boolean).join(' ');
}

start();
