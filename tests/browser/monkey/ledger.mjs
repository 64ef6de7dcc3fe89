// What was typed and is not yet accounted for. A text leaves the ledger when it was written, when the page says what
// became of it, or when the keeper took its field away: anything else is a text gone without a word. It stands again after a
// reload; that of a page that was left waits for the keeper to come back to that step.
import { isKept } from './typing.mjs';

/** Steps that leave a page, with what is half typed on it. */
const LEAVES = ['bar', 'back', 'forward', 'address'];
/** Steps after which a page is made anew as it was left. */
const AGAIN = ['back', 'forward', 'reload'];
/** Buttons that take a field away, as they say. */
const TAKES_AWAY = /^(Remove(?! eggs)|Take away|Leave out|Go back$|Close|Undo|Start over|Another|Cancel|Not this|It did not happen)/;

export class Ledger {
  typed = [];
  writes = [];
  /** Of steps of the history that were left, by their number. */
  left = new Map();

  /** A field was typed in. */
  add(field, text) {
    this.typed = this.typed.filter(({ id }) => id !== field.id);
    // What is looked for is no record.
    if (field.secret || field.type === 'search' || text.trim() === '' || text.trim() === field.before.trim()) return;
    this.typed.push({ id: field.id, name: field.name, group: field.group, text, hash: field.hash, step: field.step, alone: field.form.length === 0, since: this.writes.length });
  }

  /** A step of this kind led to the step of the history with this number. Whether something has to stand there again. */
  arrive(kind, number) {
    if (!AGAIN.includes(kind)) return false;
    if (kind === 'reload') for (const entry of this.typed) entry.again = true;
    else this.typed.push(...this.left.get(number) ?? []);
    this.left.delete(number);
    return this.typed.some(({ again }) => again);
  }

  /** A step was done: `step` is its kind, `aim` what it met, `look` the page after it. What is gone, in a sentence each. */
  settle(step, aim, look) {
    this.writes.push(...look.written);
    const saved = look.written.some(([store]) => ['entries', 'people'].includes(store));
    // What a page is about may have changed while it was left: then it may ask something else.
    if (saved) for (const entry of [...this.left.values()].flat()) entry.elsewhere = true;
    const lost = [];
    const open = [];
    for (const [at, entry] of this.typed.entries()) {
      const now = look.stands[at];
      if (now.id) entry.id = now.id;
      const of = `“${entry.text}” in “${entry.name}”`;
      const kept = () => isKept(entry.text, this.writes.slice(entry.since), look.prefs);
      const said = () => look.heard.some((text) => text.includes(entry.text.replace(/\s+/g, ' ').trim()));
      const again = entry.again;
      delete entry.again;
      // What its form was saved with is no draft any more, though it may stand until the page is made anew.
      if (again && now.is !== 'stands') {
        if (!entry.done && !(entry.elsewhere && now.is === 'gone')) lost.push(`${of} does not stand again after ${step}`);
        continue;
      }
      if (now.is === 'stands' && entry.hash !== look.hash) {
        if (now.on !== entry.name) lost.push(`${of} stands in “${now.on}” of the next page`);
        continue;
      }
      if (now.is === 'stands') {
        // A form that says it is saved has all of itself saved, or says at the field why not.
        if (saved && step !== 'undo' && aim?.form?.includes(entry.id) && aim.tag === 'button' && !now.bad && !kept() && !said()) lost.push(`${of} still stands, but its form was saved without it`);
        const done = entry.done || (saved && (kept() || aim?.form?.includes(entry.id) || (entry.alone && aim?.form?.length === 0)));
        open.push(saved ? { ...entry, done, since: this.writes.length } : entry);
        continue;
      }
      if ((entry.hash !== look.hash || entry.step !== look.step) && (LEAVES.includes(step) || aim?.tag === 'a' || aim?.name === 'Undo')) {
        this.left.set(entry.step, [...this.left.get(entry.step) ?? [], { ...entry, again: true }]);
        continue;
      }
      if (aim?.id === entry.id) { if (now.is === 'changed' && step === 'step') open.push({ ...entry, text: now.to }); continue; }
      if (kept() || said()) continue;
      if (step === 'tab') continue;
      if (now.is === 'gone' && (aim?.chip || ['select', 'summary'].includes(aim?.tag) || ['checkbox', 'radio'].includes(aim?.type) || TAKES_AWAY.test(aim?.name ?? ''))) continue;
      lost.push(now.is === 'changed' ? `${of} became “${now.to}”` : `${of} is gone`);
    }
    this.typed = open;
    if (this.typed.length === 0) this.writes = [];
    return lost;
  }
}
