// What was changed a moment ago, noted at once and without waiting for the database: a page can be gone before that has
// answered. A note is {entries, amends, draft}; one that was left behind is taken up by the next page.
import { uuid } from "./ids.js";

const JOT = "jot:";
const TAB = "tab";
const LEFT_BEHIND_MS = 60_000; // longer than a page is at work on one
const own = new Set();

const nameOf = ({ entries: [first] }) => JOT + first?.body.op_id;

/** Note changes before anything else is done with them. */
export function jot(note) {
  if (!note.entries.length) return;
  const name = nameOf(note);
  own.add(name);
  try {
    localStorage.setItem(name, JSON.stringify({ ...note, tab: tab(), at: Date.now() }));
  } catch {
    // no room, or not allowed: the database has to do
  }
  dispatchEvent(new Event("jotted"));
}

/** The database or the server has it now. */
export function cross(note) {
  own.delete(nameOf(note));
  forgetItem(nameOf(note));
  dispatchEvent(new Event("jotted"));
}

/** Whether something of this page is neither in the database nor on the server yet: noted, or a form on its way. */
export const isSaving = () => own.size > 0 || document.querySelector("form[aria-busy]") !== null;

/** Notes that no page is at work on, the oldest first. */
export function leftBehind() {
  try {
    const names = Object.keys(localStorage).filter((name) => name.startsWith(JOT) && !own.has(name));
    const notes = names.map((name) => JSON.parse(localStorage.getItem(name)));
    return notes.filter(isLeft).sort((one, other) => one.at - other.at);
  } catch {
    return []; // a worker, or not allowed
  }
}

const isLeft = (note) => note && (note.tab === tab() || Math.abs(Date.now() - note.at) > LEFT_BEHIND_MS);

/** Forget one item of what the browser keeps by names. */
export function forgetItem(name) {
  try {
    if (name) localStorage.removeItem(name);
  } catch {
    // nothing is kept here
  }
}

/** Which tab this is, whatever page it shows. */
function tab() {
  if (!sessionStorage.getItem(TAB)) sessionStorage.setItem(TAB, uuid());
  return sessionStorage.getItem(TAB);
}
