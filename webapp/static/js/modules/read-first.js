// Opens what the cautions stand before, once they are ticked; also where the device knows that from an earlier page.
import { showLater } from "../far.js";

const KEY = "caution/read";

export default class ReadFirst {
  #element;

  constructor(element) {
    this.#element = element;
    element.addEventListener("change", ({ target }) => target.name === KEY && target.checked && this.#open());
    addEventListener("marked", ({ detail }) => detail.key === KEY && detail.value && this.#open());
  }

  #open() {
    if (this.#element.hidden) return;
    this.#element.hidden = true;
    const page = document.getElementById(this.#element.dataset.opens);
    showLater(page);
    page.hidden = false;
    page.tabIndex = -1;
    page.focus();
  }
}
