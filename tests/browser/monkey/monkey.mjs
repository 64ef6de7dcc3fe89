// A monkey at the app: it taps what it can see, types odd things, goes back and forth, and after each step looks whether
// all is well. Everything it does comes from its number, so a run can be played again.
import assert from 'node:assert/strict';
import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { drawn, out, reload, seat, visit } from '../harness/browser.mjs';
import { button } from '../harness/keeper.mjs';
import { agreed, begun, invitation, joined } from '../harness/share.mjs';
import { store } from '../harness/store.mjs';
import { chance } from './chance.mjs';
import { inside } from './inside.mjs';
import { Ledger } from './ledger.mjs';
import { something } from './typing.mjs';

/** [variant, address] of every page there is, as the route table has them: `app/desk/src/page/table.rs`. */
export const PAGES = JSON.parse(await readFile(new URL('./pages.json', import.meta.url), 'utf8'));

/** Monday, 15 June 2026, nine o'clock in London. */
export const BASE = Date.UTC(2026, 5, 15, 8);
const WIDE = { phone: 390, desktop: 1280 };
/** Controls that put an end to what a run is about: the season loaded or removed, the app left. */
const NEVER = ['Load the Alder Lane season', 'Remove it', 'Remove the season', 'Stop on this device'];

/** Two taps are of one finger that shakes when they are so near: less than the app's own bound (`SHAKE_MS` in boot.js). */
const QUICK_MS = 250;
/** An id that no record has. */
const NOBODY = '7K3QX2M9';

const STEPS = {
  tap: 30, save: 14, type: 26, choose: 5, step: 4, address: 14, bar: 2, back: 3, forward: 2, undo: 3, twice: 4, enter: 3, escape: 1, reload: 1, tab: 1.5, hide: 0.5, file: 0.6,
};

/** Steps that are one tap, which has to have an answer. */
const TAPS = ['tap', 'save', 'bar', 'undo'];

const FILES = [
  [{ name: 'barn.zip', type: 'application/zip', text: 'not a bundle' }],
  [{ name: 'list.csv', type: 'text/csv', text: 'name,species,hatched\nquorl,Pantherophis guttatus,5/3/26\n,,\n"un' }],
  [{ name: 'log.csv', type: 'text/csv', text: 'time,temp\n2026-06-01 10:00,27.8\n2026-06-01 11:00,x\n' }],
  [{ name: 'picture.jpg', type: 'image/jpeg', text: 'no picture' }],
  [{ name: 'empty', type: '', text: '' }],
];

/** What no page says to a person: words of the program, and hashes. */
const RAW = [/\bundefined\b/, /\bNaN\b/, /\bnull\b/, /\[object /, /\b(?:Some|Ok|Err)\(/, /-?\binf\b/, /\b(?=\d*[a-f])[0-9a-f]{32,}\b/];

/** What is shaped like an id (`journal::Id`: eight of Crockford's letters and digits). */
const ID = /\b[0-9A-HJKMNP-TV-Z]{8}\b/g;

/** Which kind of run a number stands for; `shares`: kept in step through a store. */
export const seatOf = (seed) => ({ kind: seed % 2 === 0 ? 'phone' : 'desktop', season: seed % 4 < 2, shares: seed % 8 === 2 });

/** Whether an address, cut up, is of a page; a part in braces fits anything. */
const fits = (pattern, parts) => pattern.length === parts.length && pattern.every((part, at) => part.includes('{') || part === parts[at]);
const cut = (address) => address.split('/').filter(Boolean);
const CUT = PAGES.map(([variant, address]) => ({ variant, address, parts: cut(address) }));

/** The row of the route table that an address belongs to: the one with the most words of its own. */
function rowOf(hash) {
  const parts = cut(hash.replace(/^#/, ''));
  const fit = CUT.filter((row) => fits(row.parts, parts));
  const own = (row) => row.parts.filter((part) => !part.includes('{')).length;
  return fit.toSorted((a, b) => own(b) - own(a))[0];
}

class Monkey {
  trace = [];
  reached = new Set();
  said = new Set();
  now = BASE;
  words = 0;
  tabs = [];
  at = 0;

  constructor(open, seed) {
    Object.assign(this, { open, seed, luck: chance(seed), ...seatOf(seed) });
  }

  get tab() { return this.tabs[this.at]; }
  get page() { return this.tab.page; }

  /** Runs a method of `window.monkey`; once more where the page was just being loaded anew. */
  async do(method, ...args) {
    const ask = () => this.page.evaluate(([method, args]) => window.monkey[method](...args), [method, args]);
    return ask().catch(async (error) => {
      if (!/context was destroyed|reading '\w+'/.test(error.message)) throw error;
      await drawn(this.page);
      return ask();
    });
  }

  async start(url) {
    this.url = url;
    await this.open.context.addInitScript(inside, { seed: this.seed, base: BASE });
    this.tabs.push({ page: this.open.page, ledger: new Ledger() });
    await visit(this.page, url);
    if (this.season) {
      await button(this.page, 'Load the Alder Lane season').click();
      await this.page.getByText('Alder Lane, an invented season').waitFor({ timeout: 60_000 });
    }
    if (this.shares) {
      this.place = await store(new URL(url).origin);
      await begun(this.page, this.place);
    }
    this.ids = await this.do('ids');
    this.last = await this.do('look', []);
  }

  async tapAt({ x, y }) {
    if (this.kind === 'phone') await this.page.touchscreen.tap(x, y);
    else await this.page.mouse.click(x, y);
  }

  /** One address of the table, of those not seen yet where there are any; ids of its kinds, or one nobody has. */
  address() {
    const unseen = CUT.filter(({ address }) => !this.reached.has(address) && [...address.matchAll(/\{(\w+)\}/g)].every(([, kind]) => this.ids[kind]?.length));
    const { address } = this.luck.of(unseen.length > 0 && this.luck.share() < 0.85 ? unseen : CUT);
    return address.replace(/\{(\w+)\}/g, (_, kind) => (this.ids[kind]?.length && this.luck.share() < 0.97 ? this.luck.of(this.ids[kind]) : NOBODY));
  }

  /** Does one step of a kind; what it met, or null when there was nothing of that kind. */
  async act(kind) {
    const { luck } = this;
    const aim = async (what) => this.do('aim', what, luck.share(), NEVER);
    switch (kind) {
      case 'tap': case 'save': case 'bar': case 'step': case 'undo': case 'twice': {
        const met = await aim(kind === 'twice' ? 'tap' : kind);
        if (!met) return null;
        const wait = kind === 'twice' ? luck.below(160) : 0;
        await this.tapAt(met);
        if (kind === 'twice') {
          await this.page.waitForTimeout(wait);
          await this.tapAt(met);
        }
        return met;
      }
      case 'type': {
        const met = await aim('type');
        if (!met) return null;
        const what = something(luck, met, this.words += 1);
        if (what.set) await this.do('set', what.text);
        else {
          await this.do('focus');
          if (what.text === '') await this.page.keyboard.press('Delete');
          else await this.page.keyboard.insertText(what.text);
        }
        return { ...met, typed: what.text };
      }
      case 'choose': {
        const met = await aim('choose');
        return met && { ...met, typed: await this.do('choose', luck.share()) };
      }
      case 'file': {
        const met = await aim('file');
        if (!met) return null;
        const files = luck.of(FILES);
        await this.do('give', files);
        return { ...met, typed: files[0].name };
      }
      case 'enter': await this.page.keyboard.press('Enter'); return { name: 'Enter', tag: 'key' };
      case 'escape': await this.page.keyboard.press('Escape'); return { name: 'Escape', tag: 'key' };
      case 'back': case 'forward': {
        if (!await this.do('go', kind === 'back' ? -1 : 1)) return null;
        await this.page.waitForTimeout(20);
        return { name: kind };
      }
      case 'address': {
        const to = this.address();
        await this.page.evaluate((to) => { location.hash = to; }, to);
        return { name: to };
      }
      case 'reload':
        await reload(this.page);
        return { name: 'reload' };
      case 'hide':
        await this.do('hide', true);
        await this.do('hide', false);
        return { name: 'hidden, and seen again' };
      case 'tab': return this.turn();
      default: throw new Error(kind);
    }
  }

  /** To the other tab, which is made the first time; the one that is left is hidden. */
  async turn() {
    await this.do('hide', true);
    this.at = 1 - this.at;
    if (!this.tab) {
      this.tabs.push({ page: await this.open.context.newPage(), ledger: new Ledger() });
      await visit(this.page, this.url);
    }
    await this.page.bringToFront();
    await this.do('hide', false);
    return { name: `tab ${this.at + 1}` };
  }

  /** A phone that joins by the store has the same records. */
  async isJoined() {
    for (const tab of this.tabs) if (tab !== this.tab) await tab.page.close();
    await visit(this.page, this.url);
    const other = await seat();
    try {
      await visit(other.page, this.url);
      await joined(other.page, await invitation(this.page));
      await agreed(this.page, other.page);
    } finally {
      await other.close();
    }
  }

  async end() {
    await this.open.close();
    await this.place?.stop();
  }

  /** One step, and what is amiss after it. */
  async step() {
    let kind;
    let met = null;
    this.trace.push('…');
    this.now += 1000 * (1 + this.luck.below(240));
    while (!met) {
      kind = this.luck.weighed(STEPS);
      await this.do('begin', this.now);
      met = await this.act(kind);
    }
    // A person whose tap did nothing taps again.
    const missed = TAPS.includes(kind) && await this.do('missed');
    if (missed) await this.tapAt(missed);
    const { ledger } = this.tab;
    const was = this.last;
    if (kind === 'type') ledger.add(met, met.typed);
    if (ledger.arrive(kind, await this.do('number'))) await this.do('again', ledger.typed);
    const look = await this.do('look', ledger.typed);
    this.trace[this.trace.length - 1] = (`${kind} “${met.name}”${met.typed === undefined ? '' : ` “${met.typed}”`}${met.group ? ` in “${met.group}”` : ''} → ${look.hash || '#/'} “${look.heading}”${look.heard.length ? ` says “${look.heard.join(' | ').slice(0, 160)}”` : ''}${look.written.length ? ` wrote ${look.written.filter(([store]) => store === 'entries').length}` : ''}`);
    this.note(look, kind === 'address' ? met.name : look.hash);
    this.last = look;
    return [...await this.amiss(kind, met, look, was), ...ledger.settle(kind, met, look)];
  }

  /** The page that was reached, and ids that were written. `asked`: the address it was reached by, which may lead on. */
  note(look, asked) {
    for (const at of [look.hash, asked]) {
      const row = rowOf(at) ?? rowOf('/nowhere/at/all');
      if (look.heading && !at.includes(NOBODY)) this.reached.add(row.address);
    }
    for (const [store, , value] of look.written) {
      if (store !== 'entries') continue;
      for (const { kind, id } of JSON.parse(value).sets) if (!this.ids[kind]?.includes(id)) (this.ids[kind] ??= []).push(id);
    }
    for (const href of look.links) {
      const at = rowOf(href);
      at?.parts.forEach((part, n) => {
        const [, kind] = /^\{(\w+)\}$/.exec(part) ?? [];
        const id = cut(href.slice(1))[n];
        if (kind && !this.ids[kind]?.includes(id)) (this.ids[kind] ??= []).push(id);
      });
    }
  }

  async amiss(kind, met, look, was) {
    // The browser tells of each answer that is not a good one; that of a store may be one.
    const found = this.open.faults.splice(0).filter((fault) => !this.place || !fault.includes(this.place.origin));
    if (!look.still) found.push('what the page waits for never comes');
    if (look.broken !== false) found.push(`the app broke: ${look.broken}`);
    if (!look.heading) found.push('the page has no heading');
    for (const twin of look.twins) found.push(`two fields are called “${twin}”`);
    if (look.wide > WIDE[this.kind]) found.push(`the page is ${look.wide} wide: ${look.widest}`);
    for (const [where, text] of [['on the page', look.text], ['read out', look.named], ['in a field', look.values]]) {
      for (const raw of RAW) {
        const hit = raw.exec(text);
        if (hit) found.push(`${where}: ${text.slice(Math.max(0, hit.index - 60), hit.index + 60)}`);
      }
      const id = text.match(ID)?.find((id) => id === NOBODY || Object.values(this.ids).some((ids) => ids.includes(id)));
      if (id) found.push(`${where}: the id ${id}`);
    }
    // Since this step began: what was saved before may turn the page late.
    const turned = look.turned && kind !== 'tab' && kind !== 'reload';
    if (turned && !look.fresh) found.push('the address turned and the page did not');
    // What was said on this page before may stand as it is, and a counter at its end. The same tap again at once is one
    // of a finger that shakes (`AGAIN_MS` in store/saving.rs).
    const again = met.name === this.before || look.heard.length > 0 && look.heard.every((text) => this.said.has(text));
    this.before = met.name;
    if (look.hash !== was.hash) this.said.clear();
    if (['tap', 'save', 'enter', 'twice'].includes(kind)) for (const text of look.heard) this.said.add(text);
    const answers = TAPS.includes(kind) && !again && !/: one (more|less)$/.test(met.name) && met.pressed !== 'true' && !(met.tag === 'a' && met.href === was.hash);
    if (answers && !look.answered && look.clicks.every(({ through }) => through) && !await this.do('answers')) found.push('the tap has no answer');
    const [first, second] = look.clicks;
    // On a busy machine the second may come so late that it is a tap of its own.
    if (kind === 'twice' && second?.at - first?.at < QUICK_MS && second.through && second.control && (second.hash !== first.hash || (second.asked && !first.asked))) {
      found.push(`the second of two quick taps on “${first.on}” met “${second.on}”`);
    }
    return found;
  }
}

/**
 * `steps` steps of the monkey with this number. Gives { faults, reached, trace }: it ends at the first step after which
 * something is amiss.
 */
export async function run({ server, seed, steps }) {
  const open = await seat({ kind: seatOf(seed).kind });
  const monkey = new Monkey(open, seed);
  let faults = [];
  try {
    await monkey.start(server.url);
    for (let step = 0; step < steps && faults.length === 0; step += 1) {
      faults = await monkey.step().catch((error) => [...open.faults, `the step could not be done: ${error.message}`]);
    }
    if (faults.length === 0 && monkey.shares) await monkey.isJoined().catch((error) => faults.push(`another phone does not have the same: ${error.message}`));
    if (faults.length > 0) await monkey.page.screenshot({ path: `${out}monkey-${seed}.png` }).catch(() => { /* it is gone */ });
  } finally {
    await monkey.end();
  }
  await mkdir(out, { recursive: true });
  await writeFile(`${out}monkey-${seed}.txt`, `${monkey.trace.join('\n')}\n${faults.join('\n')}\n`);
  return { faults, reached: monkey.reached, trace: monkey.trace };
}

/** Fails with the number and the last steps when something was amiss. */
export async function well(what) {
  const began = Date.now();
  const ran = await run(what);
  console.log(`monkey ${what.seed}: ${ran.trace.length} steps, ${ran.reached.size} of ${PAGES.length} addresses, ${((Date.now() - began) / ran.trace.length).toFixed(0)} ms a step`);
  const { kind, season, shares } = seatOf(what.seed);
  assert.deepEqual(ran.faults, [], `monkey ${what.seed} (${kind}, ${season ? 'the season' : 'from empty'}${shares ? ', in step' : ''}), step ${ran.trace.length}. Again: CANDLEMARK_MONKEY=${what.seed}\n${ran.trace.slice(-40).join('\n')}`);
  return ran;
}
