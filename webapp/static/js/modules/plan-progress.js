// Asks how far the search is and reloads once it has ended. The server words everything.
const FIRST_PAUSE_MS = 1000;
const LONGEST_PAUSE_MS = 5000;

export default class PlanProgress {
  #url;
  #words;
  #pause = FIRST_PAUSE_MS;
  #said = "";

  constructor(element) {
    this.#url = element.dataset.url;
    this.#words = element.querySelector('[data-part="words"]');
    this.#wait();
  }

  #wait() {
    setTimeout(() => this.#ask(), this.#pause);
    this.#pause = Math.min(this.#pause * 1.4, LONGEST_PAUSE_MS);
  }

  async #ask() {
    try {
      const answer = await fetch(this.#url, { headers: { Accept: "application/json" } });
      const plan = await answer.json();
      if (!["queued", "running"].includes(plan.state)) return location.reload();
      this.#say(plan.words);
    } catch {
      // No signal: ask again later.
    }
    this.#wait();
  }

  #say(lines) {
    const said = lines.join("\n");
    if (said === this.#said) return; // spoken once, not on every poll
    this.#said = said;
    this.#words.replaceChildren(...lines.map((line) => Object.assign(document.createElement("p"), { textContent: line, className: "search__line" })));
  }
}
