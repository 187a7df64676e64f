// Says while a load's voltages are typed whether the battery suits it. The server words every verdict.
export default class Verdict {
  #element;
  #line;
  #form;

  constructor(element) {
    this.#element = element;
    this.#line = element.querySelector('[data-part="line"]');
    this.#form = element.closest("form");
    this.#form.addEventListener("input", () => this.#judge());
    this.#judge();
  }

  #judge() {
    const [min, max] = ["min_v", "max_v"].map((name) => volts(this.#form.elements[name].value));
    const state = min > 0 && max >= min ? this.#state(min, max) : "";
    if (this.#line.dataset.state === `${state} ${min} ${max}`) return; // spoken once
    this.#line.dataset.state = `${state} ${min} ${max}`;
    if (!state) return this.#line.replaceChildren();
    const said = this.#element.querySelector(`template[data-state="${state}"]`).content.cloneNode(true);
    for (const slot of said.querySelectorAll("[data-slot]")) slot.textContent = { min: shown(min), max: shown(max) }[slot.dataset.slot];
    this.#line.replaceChildren(said);
  }

  #state(min, max) {
    const { low, high, own } = this.#element.dataset;
    const [over, under] = [Number(high) > max, Number(low) < min];
    if (over || under) return over && under ? "both" : over ? "high" : "low";
    return own.split(" ").includes(this.#form.elements.form.value) ? "part" : "direct";
  }
}

function volts(text) {
  const found = /^\s*(\d+(?:[.,]\d+)?)\s*v?\s*$/i.exec(text);
  return found ? Number(found[1].replace(",", ".")) : NaN;
}

function shown(value) {
  return String(value).replace(".", document.documentElement.dataset.point);
}
