// Keeps a line like "3 of 17 bought" current, and the name `next` on the row of the first open tick. Sentence, ticks and
// values are the server's; `data-of` names a part of the page that is counted by itself.
export default class Tally {
  #line;

  constructor(line) {
    this.#line = line;
    for (const news of ["marked", "judged"]) addEventListener(news, () => this.#count()); // by hand, or from the device's own store
    this.#count(); // hands can be faster than this module
  }

  #count() {
    const { of, shape } = this.#line.dataset;
    const part = of ? document.getElementById(of) : this.#line.closest("form");
    const due = [...part.querySelectorAll("[data-mark][type=checkbox], [data-due]")];
    const open = due.filter((each) => !(each.type === "checkbox" ? each.checked : each.value.trim() && !each.hasAttribute("data-unread")));
    const cents = open.reduce((sum, tick) => sum + Number(tick.dataset.cents ?? 0), 0);
    const said = { done: due.length - open.length, all: due.length, left: money(cents) };
    document.getElementById("next")?.removeAttribute("id");
    open[0]?.closest("li")?.setAttribute("id", "next");
    const words = shape.replace(/\{(\w+)\}/g, (gap, name) => said[name] ?? gap);
    if (this.#line.textContent !== words) this.#line.textContent = words; // spoken once
  }
}

/** As the server writes it: two decimals, a narrow space between thousands. By hand: a tick would wait for `Intl`. */
function money(cents) {
  const [whole, parts] = (cents / 100).toFixed(2).split(".");
  return whole.replace(/\B(?=(\d{3})+$)/g, "\u202f") + document.documentElement.dataset.point + parts;
}
