// One quiet line: whether everything is saved, what waits, what needs the person, how old a copy is.
import { isTyping } from "../offline/drafts.js";
import { isSaving } from "../offline/jots.js";
import * as outbox from "../offline/outbox.js";
import { copy } from "../offline/page.js";
import { isReachable } from "../offline/sender.js";
import { isLasting } from "../offline/store.js";
import { clock, fill } from "../offline/words.js";

export default class Strip {
  #element;
  #list = null;
  #copy = null;
  #isOver = false;
  #said = "";
  #isFull = false;
  #isSilent = null;

  constructor(element) {
    this.#element = element;
    outbox.listen(({ jobs }) => {
      if (jobs) this.#isSilent = false; // the server has taken something just now
      this.#read();
    });
    for (const kind of ["input", "change", "jotted"]) addEventListener(kind, () => (isSaving() || isTyping() ? this.#show() : this.#read()));
    addEventListener("newer", () => {
      this.#isOver = true;
      this.#show();
    });
    addEventListener("full", () => {
      this.#isFull = true;
      this.#read();
    });
    this.#read();
  }

  async #read() {
    this.#list = await outbox.all();
    this.#copy = await copy;
    if (this.#copy && this.#isSilent === null) this.#listenTwice();
    this.#show();
  }

  /** From what is known by now: nothing is called saved that is only typed, or on its way into the database. */
  #show() {
    if (!this.#list) return;
    const waiting = this.#list.filter(outbox.isWaiting).length;
    const asking = this.#list.length - waiting;
    const words = this.#element.dataset;
    const open = isSaving() ? words.saving : isTyping() || document.querySelector("#errors, [data-open]") ? words.unsaved : "";
    const said = [
      asking && { state: "needs", text: fill(words.needs, { number: asking }), href: words.href },
      open && { state: "waits", text: open },
      waiting && { state: "waits", text: fill(words.waiting, { number: waiting }), href: words.href },
      this.#copy && { state: "waits", text: fill(this.#isSilent ? words.asOf : words.kept, { time: clock(this.#copy.at) }) },
      this.#copy?.isBefore && { state: "needs", text: words.before },
      this.#isOver && { state: "needs", text: words.newer, href: location.href },
      this.#isFull && { state: "needs", text: words.full },
      !isLasting() && { state: "needs", text: words.broken },
    ].filter(Boolean);
    this.#say(said.length ? said : [{ state: "saved", text: words.saved }]);
  }

  /** A server that is merely busy misses one question, hardly two. */
  async #listenTwice() {
    this.#isSilent = false;
    this.#isSilent = !(await isReachable()) && !(await isReachable());
    if (this.#isSilent) this.#show();
  }

  #say(lines) {
    const said = lines.map(({ text }) => text).join();
    if (said === this.#said) return; // spoken once
    this.#said = said;
    this.#element.replaceChildren(...lines.map((line) => this.#line(line)));
  }

  #line({ state, text, href }) {
    const line = document.createElement(href ? "a" : "span");
    if (href) line.href = href;
    line.className = `strip__line strip__line--${state}`;
    line.textContent = text;
    return line;
  }
}
