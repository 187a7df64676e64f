// What was typed and not sent survives a reload, an update and a phone that closes the app.
import { base, changes, fill, isDirty, names, setBase, text } from "./fields.js";
import { copy } from "./words.js";

const PREFIX = "draft:";
const PAUSE_MS = 300;
const HELD_MS = 1500; // then the browser sends a form itself, as where nothing of this is here
const late = new WeakSet();
const sent = new WeakSet();
const early = new Map(); // forms sent before anybody listened, to their buttons
const timers = new WeakMap();
let forms = [];
let isBack = false; // what was typed before is in its form again
let isHeard = false; // forms that are sent are listened to

/** Keep what is typed from now on: also of whoever leaves before everything else is here. */
export function watch() {
  forms = all();
  for (const form of forms) form.autocomplete = "off"; // else on the way back a browser puts in what was sent before
  addEventListener("input", ({ target: { form } }) => isOurs(form) && saveSoon(form));
  addEventListener("pagehide", () => {
    forms.forEach(save);
    for (const form of [...early.keys()]) release(form); // where one comes back to this page it is not sent unasked
  });
  addEventListener("submit", (event) => {
    const { target, submitter, defaultPrevented } = event;
    if (defaultPrevented) return;
    if (isOurs(target) && !isHeard && target.requestSubmit) {
      event.preventDefault();
      return hold(target, submitter);
    }
    sent.add(target);
    forms = forms.filter((each) => each !== target);
  });
}

function hold(form, button) {
  clearTimeout(timers.get(form)); // on its way, it is no draft
  early.set(form, button);
  form.setAttribute("aria-busy", "true");
  setTimeout(hear, HELD_MS);
}

function release(form) {
  early.delete(form);
  form.removeAttribute("aria-busy");
}

/** Somebody listens to forms by now, or none will come: those that hands were too fast for are sent. Sent by the browser
 * itself they would leave their drafts behind, and could not wait. */
export function hear() {
  isHeard = true;
  for (const [form, button] of [...early]) {
    release(form);
    if (!restore(form)) form.requestSubmit(button?.form === form ? button : null); // what was typed before goes nowhere unseen
  }
}

/** Put back what was typed before. */
export function start() {
  forms = all().filter((form) => !sent.has(form));
  forms.forEach(restore);
  isBack = true;
  dispatchEvent(new Event("jotted"));
}

const isOurs = (form) => form?.matches("form[data-op]") && names(form).length;
const all = () => [...document.forms].filter(isOurs);

/** Whether this page holds something that is not saved: in a form, or a mark that is still being typed. */
export const isTyping = () => forms.some(isDirty) || isMarking();

/** Whether a new page would take something that was typed, also into forms whose text is not kept, or that a form was not taken. */
export const isAtWork = () => isTyping() || [...document.forms].some(isDirty) || document.querySelector("[data-untaken]") !== null;

function isMarking() {
  const { form, name, dataset } = document.activeElement ?? {};
  return dataset?.mark !== undefined && base(form, name).trim() !== text(form, name);
}

/** The form was sent or kept: there is nothing to put back. */
export function forget(form) {
  sent.add(form);
  forms = forms.filter((each) => each !== form);
  store(form, null);
}

/** Under what the text of a form is kept: numbers mean other things in other units. */
export const draftOf = (form) => `${PREFIX}${location.pathname}${location.search} ${form.dataset.op} ${form.elements.entry?.value ?? ""} ${document.documentElement.dataset.units}`;

/** Whether it holds what was typed when the server held something else. */
export const isLate = (form) => late.has(form);

function saveSoon(form) {
  if (!forms.includes(form)) forms.push(form); // sent, and typed on before the next page is here
  clearTimeout(timers.get(form));
  timers.set(form, setTimeout(() => save(form), PAUSE_MS));
}

function save(form) {
  if (!forms.includes(form)) return;
  if (isDirty(form)) store(form, { ...(isBack ? {} : kept(form)), ...changes(form) });
  else if (isBack) store(form, null);
}

function store(form, draft) {
  try {
    if (draft) localStorage.setItem(draftOf(form), JSON.stringify(draft));
    else localStorage.removeItem(draftOf(form));
  } catch {
    // nothing can be kept here
  }
}

function kept(form) {
  try {
    return JSON.parse(localStorage.getItem(draftOf(form))) ?? {};
  } catch {
    return {}; // nothing can be kept here
  }
}

/** Whether something is in its form again that was typed before. */
function restore(form) {
  const draft = kept(form);
  const isAsShown = (name) => text(form, name) === base(form, name).trim(); // hands can be faster than this module
  const back = Object.entries(draft).filter(([name, [, said]]) => text(form, name) !== said && isAsShown(name) && fill(form, name, said));
  if (!back.length) return false;
  const bases = new Map(back.map(([name]) => [name, base(form, name)]));
  for (const [name, [old]] of back) if (old !== bases.get(name)) count(form, name, old);
  const note = copy("draft");
  note.querySelector("button").addEventListener("click", () => {
    for (const [name, now] of bases) setBase(form, name, now);
    for (const name of names(form)) fill(form, name, base(form, name));
    late.delete(form);
    store(form, null);
    note.remove();
    dispatchEvent(new Event("jotted"));
    form.querySelector("input:not([type=hidden]), select")?.focus();
  });
  form.prepend(note);
  return true;
}

/** The change is from what was read then: whether that clashes with what is there now the server says. */
function count(form, name, old) {
  setBase(form, name, old);
  late.add(form);
}
