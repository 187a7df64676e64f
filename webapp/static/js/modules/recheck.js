// Judges a typed figure by comparing alone, so that it works without a signal. Words and limits are the server's.
const NUMBER = /^[+-]?(\d+([.,]\d+)?|[.,]\d+)$/;

export default class Recheck {
  #element;
  #input;

  constructor(element) {
    this.#element = element;
    this.#input = element.querySelector("input");
    this.#input.addEventListener("change", () => this.#judge());
    addEventListener("marked", ({ detail }) => detail.key === this.#input.name && this.#judge());
  }

  #judge() {
    const verdict = judged(this.#input.value.trim(), Number(this.#element.dataset.least), Number(this.#element.dataset.most));
    for (const each of this.#element.querySelectorAll("[data-verdict]")) each.hidden = each.dataset.verdict !== verdict;
  }
}

/** What the server would say; with a unit behind it, it waits for the server. */
export function judged(text, least, most) {
  if (!NUMBER.test(text)) return text && !/\d/.test(text) ? "unreadable" : "";
  const value = Number(text.replace(",", "."));
  if (value < 0) return "reversed";
  return value < least ? "below" : value > most ? "above" : "within";
}
