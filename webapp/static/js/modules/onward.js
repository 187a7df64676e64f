// From one value that is still open to the next: by the link under the thumb, and by Enter in a field.
export default class Onward {
  #link;
  #last; // the value that somebody was at

  constructor(link) {
    const form = link.closest("form");
    this.#link = link;
    form.addEventListener("focusin", ({ target }) => target.matches("[data-due]") && (this.#last = target));
    for (const [element, kind] of [[link, "click"], [form, "submit"]]) element.addEventListener(kind, (event) => this.#go(event));
    for (const news of ["marked", "judged"]) addEventListener(news, () => this.#show());
    this.#show();
  }

  #go(event) {
    event.preventDefault();
    const due = this.#due();
    const next = [...due.slice(due.indexOf(this.#last) + 1), ...due].find(isOpen);
    next?.focus();
  }

  #show() {
    this.#link.hidden = !this.#due().some(isOpen);
  }

  #due() {
    return [...this.#link.closest("form").querySelectorAll("[data-due]")];
  }
}

const isOpen = (field) => !field.value.trim() || field.hasAttribute("data-unread"); // what cannot be read is none
