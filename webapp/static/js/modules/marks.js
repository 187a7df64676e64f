// Ticks and measured values of a plan: changed at once, kept on this device, sent when there is a signal.
import { base, fill, names, setBase, text } from "../offline/fields.js";
import { uuid } from "../offline/ids.js";
import * as outbox from "../offline/outbox.js";
import * as page from "../offline/page.js";
import { send } from "../offline/sender.js";
import { edit, read } from "../offline/store.js";

const TICK = { yes: "✓", "": "–" };
const MOST_KNOWN = 500;
const LONGEST = 80;

export default class Marks {
  #form;
  #plan;

  constructor(form) {
    this.#form = form;
    this.#plan = form.dataset.plan;
    for (const each of form.querySelectorAll(".for-no-script")) each.hidden = true;
    form.addEventListener("change", (event) => event.target.hasAttribute("data-mark") && this.#change(event.target.name));
    form.addEventListener("submit", (event) => event.preventDefault());
    this.#restore();
    addEventListener("pageshow", (event) => event.persisted && this.#restore());
  }

  async #change(key) {
    const [old, said] = [base(this.#form, key), text(this.#form, key)];
    if (old === said) return;
    setBase(this.#form, key, said);
    const body = { op_id: uuid(), at: new Date().toISOString(), kind: "mark", plan: this.#plan, key, old, new: said };
    const label = this.#form.elements[key]?.labels?.[0]?.textContent.replace(/\s+/g, " ").trim().slice(0, LONGEST) || key;
    await outbox.alter((list) => joined(list, { state: "waiting", tried: false, body, job: page.job(), title: page.title(), what: label, detail: TICK[said] ?? said, page: location.pathname }));
    await edit(this.#known, (known = {}) => Object.fromEntries(Object.entries({ ...known, [key]: [said, body.at] }).slice(-MOST_KNOWN)));
    dispatchEvent(new CustomEvent("marked", { detail: { key, value: said } }));
    await send();
  }

  /** A copy shows what was marked here since; every page shows what still waits. */
  async #restore() {
    const at = await page.keptAt;
    const known = at ? Object.entries((await read(this.#known)) ?? {}).filter(([, [, made]]) => made > at) : [];
    const waiting = (await outbox.all()).filter(({ body }) => body.kind === "mark" && body.plan === this.#plan);
    for (const [key, said] of [...known.map(([key, [said]]) => [key, said]), ...waiting.map(({ body }) => [body.key, body.new])]) {
      if (!names(this.#form).includes(key)) continue;
      fill(this.#form, key, said);
      setBase(this.#form, key, said);
      dispatchEvent(new CustomEvent("marked", { detail: { key, value: said } }));
    }
  }

  get #known() {
    return `marks:${this.#plan}`;
  }
}

/** Ticked and unticked before it was sent: that is one change, or none. */
export function joined(list, made) {
  const before = list.findLast(({ body }) => body.kind === "mark" && body.plan === made.body.plan && body.key === made.body.key);
  if (!before || before.tried || before.state !== "waiting") return [...list, made];
  const rest = list.filter((each) => each !== before);
  const body = { ...made.body, old: before.body.old };
  return body.old === body.new ? rest : [...rest, { ...made, body }];
}
