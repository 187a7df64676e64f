// Shows how far the search is and reloads once it has ended. The server words everything.
import { whenStill } from "../offline/touch.js";

const FIRST_PAUSE_MS = 1000;
const LONGEST_PAUSE_MS = 4000;

export default class PlanProgress {
  #element;
  #pause = FIRST_PAUSE_MS;
  #said = "";

  constructor(element) {
    this.#element = element;
    this.#wait();
  }

  #wait() {
    setTimeout(() => this.#ask(), this.#pause);
    this.#pause = Math.min(this.#pause * 1.1, LONGEST_PAUSE_MS);
  }

  async #ask() {
    try {
      const answer = await fetch(this.#element.dataset.url, { headers: { Accept: "application/json" } });
      if (!answer.ok) throw new Error(answer.statusText);
      const search = await answer.json();
      if (!search.under_way) return whenStill(() => location.reload());
      this.#show(search);
    } catch {
      this.#part("silence").hidden = false; // no signal, or the server is being started again
    }
    this.#wait();
  }

  #show(search) {
    this.#part("silence").hidden = true;
    this.#part("time").textContent = search.time;
    this.#offer(search.stop);
    this.#say(search.lines);
  }

  #offer(words) {
    const form = this.#part("stop");
    if (!form) return;
    if (!words) return form.remove(); // somebody else has stopped it
    const button = form.querySelector("button");
    if (button.textContent !== words) button.textContent = words;
  }

  #say(lines) {
    const said = lines.join("\n");
    if (said === this.#said) return; // spoken once, not on every poll
    this.#said = said;
    this.#part("lines").replaceChildren(...lines.map((line) => Object.assign(document.createElement("p"), { textContent: line, className: "search__line" })));
  }

  #part(name) {
    return this.#element.querySelector(`[data-part="${name}"]`);
  }
}
