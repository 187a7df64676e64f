// Says while a load's voltages are typed whether the battery suits it. The server words every verdict.
import * as outbox from "../offline/outbox.js";
import * as page from "../offline/page.js";
import { keyOf, pendingOf } from "../offline/pending.js";

const BLOCK_V = 12;

export default class Verdict {
  #element;
  #line;
  #form;
  #bus = {};

  constructor(element) {
    this.#element = element;
    this.#line = element.querySelector('[data-part="line"]');
    this.#form = element.closest("form");
    this.#form.addEventListener("input", () => this.#judge());
    this.#learn();
  }

  /** The battery of this page, or the one that waits here and was stated after it. */
  async #learn() {
    const { low, high, spans } = this.#element.dataset;
    this.#bus = { low: Number(low), high: Number(high) };
    const said = pendingOf(await outbox.all(), page.job()).fields.get(keyOf("battery", null));
    if (said) this.#bus = waiting(this.#bus, said, JSON.parse(spans));
    this.#judge();
  }

  #judge() {
    const [min, max] = ["min_v", "max_v"].map((name) => volts(this.#form.elements[name].value));
    const { low, high } = this.#bus;
    const state = low > 0 && high > 0 && min > 0 && max >= min ? this.#state(min, max) : "";
    if (this.#line.dataset.state === `${state} ${min} ${max} ${low} ${high}`) return; // spoken once
    this.#line.dataset.state = `${state} ${min} ${max} ${low} ${high}`;
    if (!state) return this.#line.replaceChildren();
    const said = this.#element.querySelector(`template[data-state="${state}"]`).content.cloneNode(true);
    for (const slot of said.querySelectorAll("[data-slot]")) slot.textContent = { min: shown(min), max: shown(max), low: shown(low), high: shown(high) }[slot.dataset.slot];
    this.#line.replaceChildren(said);
  }

  #state(min, max) {
    const { own } = this.#element.dataset;
    const [over, under] = [this.#bus.high > max, this.#bus.low < min];
    if (over || under) return over && under ? "both" : over ? "high" : "low";
    return own.split(" ").includes(this.#form.elements.form.value) ? "part" : "direct";
  }
}

/** Its volts as stated, else as usual for its type; unknown where neither is said: then nothing is judged. */
function waiting(bus, fields, spans) {
  const said = (name) => fields[name]?.said;
  const isOther = Boolean(said("nominal_v") ?? said("chemistry"));
  const usual = spans[said("chemistry")]?.map((each) => Math.round((each * volts(said("nominal_v") ?? "") * 1000) / BLOCK_V) / 1000) ?? [];
  const of = (name, at, before) => (said(name) ? volts(said(name)) : isOther || fields[name] ? (usual[at] ?? NaN) : before);
  return { low: of("low_v", 0, bus.low), high: of("high_v", 1, bus.high) };
}

function volts(text) {
  const found = /^\s*(\d+(?:[.,]\d+)?)\s*v?\s*$/i.exec(text);
  return found ? Number(found[1].replace(",", ".")) : NaN;
}

function shown(value) {
  return String(value).replace(".", document.documentElement.dataset.point);
}
