// Opens what the cautions stand before, once they are ticked; also where the device knows that from an earlier page.
import { showLater } from "../far.js";

const KEY = "caution/read";

export default class ReadFirst {
  #element;

  constructor(element) {
    this.#element = element;
    element.addEventListener("change", ({ target }) => target.name === KEY && target.checked && this.#open());
    addEventListener("marked", ({ detail }) => detail.key === KEY && detail.value && this.#open());
    if (element.querySelector(`[name="${KEY}"]`)?.checked) this.#open(); // hands can be faster than this module
  }

  async #open() {
    if (this.#element.hidden) return;
    await nextPicture(); // the tick comes first
    this.#element.hidden = true;
    const page = document.getElementById(this.#element.dataset.opens);
    showLater(page);
    page.hidden = false;
    page.tabIndex = -1;
    await nextPicture(); // with the focus asked for at once, all would be laid out twice
    page.focus({ preventScroll: true }); // of a long part the browser would show the end
    page.scrollIntoView();
  }
}

const nextPicture = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
