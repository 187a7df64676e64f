// Ticks and measured values of a plan: changed at once, kept on this device, sent when there is a signal.
import { base, fill, setBase, text } from "../offline/fields.js";
import { uuid } from "../offline/ids.js";
import { cross, jot } from "../offline/jots.js";
import * as outbox from "../offline/outbox.js";
import * as page from "../offline/page.js";
import { send } from "../offline/sender.js";

const TICK = { yes: "✓", "": "–" };
const LONGEST = 80;
const SAME_HIT_MS = 200;
const BARE = /^[+-]?(\d+([.,]\d+)?|[.,]\d+)$/;

export default class Marks {
  #form;
  #plan;
  #hit = {};

  constructor(form) {
    this.#form = form;
    this.#plan = form.dataset.plan;
    for (const each of form.querySelectorAll(".for-no-script")) each.hidden = true;
    form.addEventListener("change", (event) => event.target.hasAttribute("data-mark") && this.#change(event.target.name));
    form.addEventListener("click", (event) => this.#isSameHit(event) && event.preventDefault());
    form.addEventListener("submit", (event) => event.preventDefault());
    addEventListener("pagehide", () => this.#takeTyped());
    document.addEventListener("visibilitychange", () => this.#takeTyped());
    if (navigator.userActivation?.hasBeenActive) this.#takeEarly();
    this.#restore();
    addEventListener("pageshow", (event) => event.persisted && this.#restore());
  }

  /** A cold thumb hits twice: the second hit would take the tick away again. */
  #isSameHit({ target, timeStamp }) {
    if (target.type !== "checkbox") return false;
    if (target === this.#hit.target && timeStamp - this.#hit.at < SAME_HIT_MS) return true;
    this.#hit = { target, at: timeStamp };
    return false;
  }

  /** Hands can be faster than this module. */
  #takeEarly() {
    for (const each of this.#form.querySelectorAll("[data-mark]")) if (each.checked !== each.defaultChecked || each.value !== each.defaultValue) this.#change(each.name);
  }

  /** What is still being typed when the page goes is a change too. */
  #takeTyped() {
    const { form, name } = document.activeElement ?? {};
    if (form === this.#form && name) this.#change(name);
  }

  async #change(key) {
    const unit = this.#form.elements[key]?.dataset?.unit;
    const [old, said] = [base(this.#form, key), text(this.#form, key)].map((each) => withUnit(each, unit));
    if (old.trim() === said) return;
    setBase(this.#form, key, text(this.#form, key));
    const body = { op_id: uuid(), at: new Date().toISOString(), kind: "mark", plan: this.#plan, key, old, new: said };
    const row = this.#form.elements[key]?.labels?.[0];
    const label = (row?.querySelector(".todo__what") ?? row)?.textContent.replace(/[ \n]+/g, " ").trim().slice(0, LONGEST) || key;
    const note = { entries: [{ body, job: page.job(), title: page.title(), what: label, detail: TICK[said] ?? said, page: location.pathname }] };
    jot(note);
    dispatchEvent(new CustomEvent("marked", { detail: { key, value: said } }));
    await outbox.add(note);
    cross(note);
    await send();
  }

  /** A copy shows what was marked here since; every page shows what still waits. */
  async #restore() {
    const at = await page.keptAt;
    const known = at ? Object.entries(await outbox.marked(this.#plan)).filter(([, [, made]]) => made > at) : [];
    const waiting = (await outbox.all()).filter(({ body }) => body.kind === "mark" && body.plan === this.#plan);
    for (const [key, said, counted = said] of [...known.map(([key, [said]]) => [key, said]), ...waiting.map(({ body, state }) => [body.key, body.new, state === "refused" ? body.old : body.new])]) {
      const field = this.#form.elements[key];
      if (!field) continue;
      const { unit } = field.dataset;
      fill(this.#form, key, inField(said, unit));
      setBase(this.#form, key, inField(counted, unit));
      dispatchEvent(new CustomEvent("marked", { detail: { key, value: said } }));
    }
  }
}

/** A figure is kept in metres; one that was typed in another unit says so. */
const withUnit = (text, unit) => (unit && BARE.test(text) ? `${text} ${unit}` : text);

/** The same back in its field, which names its unit itself. */
const inField = (said, unit) => (!unit ? said : said.endsWith(` ${unit}`) ? said.slice(0, -unit.length - 1) : BARE.test(said) ? `${said} m` : said);
