// Keeps what somebody has typed for the step of the browser's history that it was typed on, for this tab, until it is saved
// or given up: a phone may end a page behind another one, and who makes a detour comes back. It holds no words of its own.
//
// What the app may say:
//   candlemark:saved    what the last tap was about is stored
//   candlemark:erased   people's details were erased or locked
// Marks in the page:
//   data-leave     a button that gives up its form
//   data-opens     a button that only brings fields: it is pressed again where one of them was typed in
//   data-of        what is asked is of this thing alone, though it is not in the address
//   data-adds      a list of which each choice is added to what was chosen, and which shows none then
//   data-now       what is chosen here counts at once, on this page or for ever: it is no draft. What is wrong with itself is one.
//   data-person    details of somebody; `locked`: they are not kept. Browsers write what a tab keeps on the disk, and a
//                  passphrase promises that nothing of these lies there plain.

/** Steps kept, and letters of one step. */
const STEPS = 60;
const LETTERS = 40_000;
/** How long after the last letter it is put away, in milliseconds: some browsers end without a word. */
const PAUSE_MS = 400;

const PREFIX = `candlemark:${new URL('.', document.baseURI).pathname}draft:`;
const CHIP = 'button.chip[aria-pressed]:not(.torch)';
const FIELDS = `#page :is(input:not([type=file], [type=password], [data-secret]), textarea, select, ${CHIP})`;
const OPENER = '#page button[data-opens]';
/** Begins the name of a field with somebody's details. */
const PERSON = 'person|';
/** Between the name of a list that adds and what was chosen. */
const ADDED = '\u0001';

const told = document.getElementById('draft');
const words = (element) => element?.textContent.trim() ?? '';

/** The step that is shown. */
let step;
/** Fields that somebody changed on it, by name, the latest last. */
let typed = new Map();
/** Presses of buttons that bring fields, by name. */
let opened = new Map();
/** What was kept and has no field yet. */
let waiting = new Map();
/** What the last tap may save: its step, and fields by name. */
let going;
let filling = false;
let pause;

/** What a control is called: stable from one showing of its page to the next. */
function called(control) {
  const label = control.labels?.[0];
  const group = control.matches('button') ? control.closest('fieldset, [role=group]') : null;
  return (control.closest('[data-person]') ? PERSON : '') + [
    control.closest('[data-of]')?.dataset.of, control.type, control.dataset.field, group?.getAttribute('aria-label') ?? words(group?.querySelector('legend')),
    control.getAttribute('aria-label') ?? words(label?.querySelector(':scope > span') ?? label ?? control),
  ].join('|');
}

/** All controls by name; equal ones are numbered. */
function all(selector) {
  const found = new Map();
  const equal = {};
  for (const control of document.querySelectorAll(selector)) {
    if (control.closest('[data-person=locked]')) continue;
    const name = called(control);
    equal[name] = (equal[name] ?? -1) + 1;
    found.set(`${name}|${equal[name]}`, control);
  }
  return found;
}

/** Of a choice that was added: the name of its list, and what was chosen. */
const added = (name) => name.split(ADDED);

const nameOf = (control, selector) => [...all(selector)].find(([, other]) => other === control)?.[0];
const isTick = (control) => ['checkbox', 'radio'].includes(control.type);

function read(control) {
  if (control.matches('button')) return control.getAttribute('aria-pressed') === 'true';
  return isTick(control) ? control.checked : control.value;
}

/** As a person would. */
function set(control, value) {
  if (read(control) === value) return;
  if (typeof value === 'boolean') {
    control.click();
    return;
  }
  control.value = value;
  for (const kind of ['input', 'change']) control.dispatchEvent(new Event(kind, { bubbles: true }));
}

/** The control that was typed in, as it stands in the page now: one that was drawn anew has the name of the one before it. */
const standing = (name, control, now) => (control.isConnected ? control : now.get(added(name)[0]));

/** What stands on this step that was typed and is not saved. */
function draft() {
  const now = all(FIELDS);
  const names = new Map([...now].map(([name, control]) => [control, name]));
  const kept = new Map([...waiting, ...opened]);
  for (const [name, control] of typed) {
    const [, choice] = added(name);
    // None: it was taken away; but ticks make room for the form about what was ticked.
    const stands = standing(name, control, now) ?? (isTick(control) ? control : undefined);
    const counts = stands?.closest('[data-now]') && stands.getAttribute('aria-invalid') !== 'true';
    if (!counts && (names.has(stands) || stands?.isConnected === false)) kept.set(choice ? name : names.get(stands) ?? name, choice ?? read(stands));
  }
  return [...kept];
}

/** Storage that is full or switched off loses the draft, never a record. */
function store(key, kept) {
  try {
    const text = JSON.stringify(kept);
    if (kept.every(([, value]) => typeof value === 'number') || text.length > LETTERS) sessionStorage.removeItem(key);
    else sessionStorage.setItem(key, text);
    const keys = Object.keys(sessionStorage).filter((other) => other.startsWith(PREFIX));
    const number = (other) => parseInt(other.slice(PREFIX.length), 10);
    keys.sort((a, b) => number(a) - number(b)).slice(0, -STEPS).forEach((old) => sessionStorage.removeItem(old));
  } catch { /* as said */ }
}

function stored(key) {
  try {
    return JSON.parse(sessionStorage.getItem(key)) ?? [];
  } catch {
    return [];
  }
}

function putBy() {
  clearTimeout(pause);
  if (step) store(step, draft());
}

function soon() {
  clearTimeout(pause);
  pause = setTimeout(putBy, PAUSE_MS);
}

/** Somebody changed it. */
function note(control) {
  let name = nameOf(control, FIELDS);
  if (!name || !step) return;
  if (control.closest('[data-adds]')) name += ADDED + control.value;
  typed.delete(name);
  typed.set(name, control);
  waiting.delete(name);
  going?.fields.delete(name);
  soon();
}

/** Fills in what waits for its field, in the order in which it was typed: one field may bring another, or change it. */
async function fill() {
  if (filling) return;
  filling = true;
  const own = step;
  const turn = () => new Promise((then) => setTimeout(then));
  for (let more = waiting.size > 0; more && own === step;) {
    more = false;
    const now = all(FIELDS);
    for (const [name, value] of waiting) {
      const control = now.get(added(name)[0]);
      // A choice may not be offered yet.
      if (!control?.isConnected || (control.options && ![...control.options].some((option) => option.value === value))) continue;
      waiting.delete(name);
      typed.set(name, control);
      set(control, value);
      for (let fold = control.closest('details'); fold; fold = fold.parentElement.closest('details')) fold.open = true;
      told.hidden = false;
      more = true;
      await turn();
      if (own !== step) break;
    }
    const lacks = !more && [...waiting.values()].some((value) => typeof value !== 'number');
    const [name, button] = lacks ? [...all(OPENER)].find(([name]) => waiting.get(name) > 0) ?? [] : [];
    if (button) {
      waiting.set(name, waiting.get(name) - 1);
      opened.set(name, (opened.get(name) ?? 0) + 1);
      button.click();
      more = true;
      await turn();
    }
  }
  filling = false;
  if (own !== step) fill();
  else if ([...waiting.values()].every((value) => typeof value === 'number')) waiting.clear();
}

/** The step that the browser's history names by now. */
function come() {
  step = `${PREFIX}${history.state} ${location.hash}`;
  // A list that stands beside its records is on each of their steps.
  typed = new Map([...typed].filter(([, control]) => control.isConnected && control.closest('.list')));
  opened = new Map();
  waiting = new Map(stored(step));
  going = undefined;
  fill();
}

/** What was tapped may save what belongs to the same form, or to none. */
function aim({ form }) {
  const now = all(FIELDS);
  going = { step, fields: new Map([...typed].filter(([name, field]) => (standing(name, field, now) ?? { form }).form === form)) };
}

/** What the last tap was about is done with. */
function drop() {
  if (!going) return;
  const { fields, step: own } = going;
  going = undefined;
  if (own !== step) {
    store(own, stored(own).filter(([name]) => !fields.has(name)));
    return;
  }
  for (const name of fields.keys()) typed.delete(name);
  waiting.clear();
  opened.clear();
  told.hidden = true;
  putBy();
}

/** No draft of any step holds somebody's details from now on. */
function erase() {
  putBy();
  for (const key of Object.keys(sessionStorage).filter((key) => key.startsWith(PREFIX))) {
    store(key, stored(key).filter(([name]) => !name.startsWith(PERSON)));
  }
  for (const all of [typed, waiting]) for (const name of all.keys()) if (name.startsWith(PERSON)) all.delete(name);
}

const on = (name, act) => window.addEventListener(name, act, true);

/** Whether a person did it, not this. */
const isOwn = ({ isTrusted }) => isTrusted || !filling;

on('input', (event) => isOwn(event) && event.target.matches(FIELDS) && note(event.target));
on('click', (event) => {
  const button = event.target.closest('#page button');
  if (!button || !isOwn(event)) return;
  if (button.matches(CHIP)) return note(button);
  aim(button);
  if (button.matches('.step button')) note(button.parentElement.querySelector('input'));
  else if (button.matches(OPENER)) {
    const name = nameOf(button, OPENER);
    opened.set(name, (opened.get(name) ?? 0) + 1);
  } else if ('leave' in button.dataset) drop();
});
on('submit', ({ target }) => aim({ form: target }));
on('keydown', ({ key, target }) => key === 'Enter' && target.matches(FIELDS) && aim(target));
on('candlemark:saved', drop);
on('candlemark:erased', erase);
on('pagehide', putBy);
on('visibilitychange', putBy);
// Comes before the app hears of the new address: the old page still stands.
on('popstate', putBy);
on('hashchange', () => {
  step = undefined;
  told.hidden = true;
  // The app has numbered the new step, and taken the old page away, by then.
  setTimeout(come);
});

document.getElementById('draft-clear').onclick = () => {
  typed.clear();
  waiting.clear();
  opened.clear();
  putBy();
  location.reload();
};
new MutationObserver(() => { if (step && waiting.size > 0) fill(); }).observe(document.body, { subtree: true, childList: true, attributeFilter: ['data-person'] });
come();
