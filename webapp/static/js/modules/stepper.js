// A little less and a little more by thumb: two buttons beside a number, shown only where this runs.
const NUMBER = /^\s*(\d+(?:[.,]\d+)?|)(.*)$/s;
const DUST = 1e6;

export default class Stepper {
  #input;
  #step;

  constructor(element) {
    this.#input = element.querySelector("input");
    this.#step = Number(element.dataset.step);
    for (const button of element.querySelectorAll("button[data-by]")) {
      button.hidden = false;
      button.addEventListener("click", () => this.#move(Number(button.dataset.by)));
    }
    this.#input.addEventListener("keydown", (event) => {
      const by = { ArrowUp: 1, ArrowDown: -1 }[event.key];
      if (!by) return;
      event.preventDefault();
      this.#move(by);
    });
  }

  #move(by) {
    const [, digits, rest] = NUMBER.exec(this.#input.value) ?? [];
    if (digits === undefined || /\d/.test(rest)) return; // "1 h 30", "15 ft 6 in": theirs to change
    const next = stepped(Number(digits.replace(",", ".")), by, this.#step, this.#input.dataset);
    this.#input.value = String(next).replace(".", digits.includes(",") ? "," : document.documentElement.dataset.point) + rest;
    for (const kind of ["input", "change"]) this.#input.dispatchEvent(new Event(kind, { bubbles: true }));
  }
}

// To the next multiple of the step, never beyond what the field takes.
function stepped(value, by, step, { least = 0, most = Infinity }) {
  const steps = Math.round((value / step) * DUST) / DUST;
  const whole = by > 0 ? Math.floor(steps) + 1 : Math.ceil(steps) - 1;
  return Math.min(most, Math.max(least, 0, Math.round(whole * step * DUST) / DUST));
}
