// One quiet line: whether everything is saved, what waits, what needs the person, how old a copy is.
import * as outbox from "../offline/outbox.js";
import { keptAt } from "../offline/page.js";
import { isReachable } from "../offline/sender.js";
import { isLasting } from "../offline/store.js";
import { clock, fill } from "../offline/words.js";

export default class Strip {
  #element;
  #said = "";
  #isFull = false;
  #isSilent = null;

  constructor(element) {
    this.#element = element;
    outbox.listen(() => this.#show());
    addEventListener("full", () => {
      this.#isFull = true;
      this.#show();
    });
    this.#show();
  }

  async #show() {
    const list = await outbox.all();
    const waiting = list.filter(outbox.isWaiting).length;
    const asking = list.length - waiting;
    const at = await keptAt;
    if (at && this.#isSilent === null) this.#listenTwice();
    const words = this.#element.dataset;
    const said = [
      asking && { state: "needs", text: fill(words.needs, { number: asking }), isLink: true },
      waiting && { state: "waits", text: fill(words.waiting, { number: waiting }), isLink: true },
      at && { state: "waits", text: fill(this.#isSilent ? words.asOf : words.kept, { time: clock(at) }) },
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

  #line({ state, text, isLink }) {
    const line = document.createElement(isLink ? "a" : "span");
    if (isLink) line.href = this.#element.dataset.href;
    line.className = `strip__line strip__line--${state}`;
    line.textContent = text;
    return line;
  }
}
