// Offers to keep the app on this device where the browser lets a page ask. Somebody who has answered is not asked again.
const ANSWERED = "install-answered";

export default class Install {
  #element;

  constructor(element) {
    this.#element = element;
    addEventListener("beforeinstallprompt", (event) => this.#offer(event));
    addEventListener("appinstalled", () => this.#answered());
  }

  #offer(event) {
    if (isAnswered()) return;
    event.preventDefault(); // the browser would ask beside it
    this.#on("take", () => event.prompt());
    this.#on("leave", () => {});
    this.#show(true);
  }

  #show(isAsked) {
    this.#element.hidden = !isAsked;
    document.documentElement.classList.toggle("asked", isAsked); // keeps clear of the card what is scrolled to
  }

  #on(name, act) {
    this.#element.querySelector(`[data-part="${name}"]`).onclick = () => {
      this.#answered();
      act();
    };
  }

  #answered() {
    this.#show(false);
    try {
      localStorage.setItem(ANSWERED, "yes");
    } catch {
      // nothing is kept here, and so it cannot be installed either
    }
  }
}

function isAnswered() {
  try {
    return localStorage.getItem(ANSWERED) !== null;
  } catch {
    return true;
  }
}
