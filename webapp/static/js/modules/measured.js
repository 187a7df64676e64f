// Watt-hours over hours become the usual draw at once; the server does the same on saving.
export default class Measured {
  #form;

  constructor(element) {
    this.#form = element.closest("form");
    element.addEventListener("input", () => this.#fill());
  }

  #fill() {
    const { measured_wh: energy, measured_h: hours, typical_w: usual } = this.#form.elements;
    const watts = plain(energy.value) / plain(hours.value);
    if (!(watts > 0 && watts < Infinity)) return;
    usual.value = String(Math.round(watts * 10) / 10).replace(".", document.documentElement.dataset.point);
    usual.dispatchEvent(new Event("input", { bubbles: true }));
  }
}

function plain(text) {
  return /^\s*\d+(?:[.,]\d+)?\s*$/.test(text) ? Number(text.replace(",", ".")) : NaN;
}
