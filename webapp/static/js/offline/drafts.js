// What was typed and not sent survives a reload, an update and a phone that closes the app.
import { base, changes, fill, isDirty, names, text } from "./fields.js";
import { copy } from "./words.js";

const PREFIX = "draft:";
const PAUSE_MS = 300;
let forms = [];

/** Keep what is typed from now on; put back what was typed before. */
export function start() {
  forms = [...document.querySelectorAll("form[data-op]")].filter((form) => names(form).length);
  for (const form of forms) {
    restore(form);
    let timer;
    form.addEventListener("input", () => {
      clearTimeout(timer);
      timer = setTimeout(() => save(form), PAUSE_MS);
    });
  }
  addEventListener("pagehide", () => forms.forEach(save));
}

/** Whether this page holds something that is not saved. */
export const isTyping = () => forms.some(isDirty);

/** The form was sent or kept: there is nothing to put back. */
export function forget(form) {
  forms = forms.filter((each) => each !== form);
  store(form, null);
}

const keyOf = (form) => `${PREFIX}${location.pathname}${location.search} ${form.dataset.op} ${form.elements.entry?.value ?? ""}`;

function save(form) {
  if (forms.includes(form)) store(form, isDirty(form) ? changes(form) : null);
}

function store(form, draft) {
  try {
    if (draft) localStorage.setItem(keyOf(form), JSON.stringify(draft));
    else localStorage.removeItem(keyOf(form));
  } catch {
    // nothing can be kept here
  }
}

function restore(form) {
  let draft = {};
  try {
    draft = JSON.parse(localStorage.getItem(keyOf(form))) ?? {};
  } catch {
    return;
  }
  const back = Object.entries(draft).filter(([name, [old, said]]) => base(form, name) === old && text(form, name) !== said && fill(form, name, said));
  if (!back.length) return;
  const note = copy("draft");
  note.querySelector("button").addEventListener("click", () => {
    for (const name of names(form)) fill(form, name, base(form, name));
    store(form, null);
    note.remove();
    form.querySelector("input:not([type=hidden]), select")?.focus();
  });
  form.prepend(note);
}
