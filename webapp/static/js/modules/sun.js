// Bright sun by one tap, at once and without signal. The cookie tells the server, which does the same without scripts.
// The button answers first, the page follows in the next picture: all of it takes other colours and sizes.
const ONE_YEAR_S = 365 * 24 * 3600;

export default class Sun {
  #button;

  constructor(form) {
    this.#button = form.querySelector("button");
    this.#show(); // a page kept on the device may be older than the choice
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.#switch();
    });
  }

  #switch() {
    const secure = location.protocol === "https:" ? "; Secure" : "";
    const [value, age] = cookie("sun") === "on" ? ["", 0] : ["on", ONE_YEAR_S];
    document.cookie = `sun=${value}; Max-Age=${age}; Path=/; SameSite=Lax${secure}`;
    this.#press();
    requestAnimationFrame(() => setTimeout(() => this.#show()));
  }

  #show() {
    document.documentElement.dataset.theme = isOn() ? "sun" : cookie("theme") || "auto";
    this.#press();
  }

  #press() {
    this.#button.setAttribute("aria-pressed", String(isOn()));
  }
}

const isOn = () => cookie("sun") === "on";

function cookie(name) {
  const found = document.cookie.split("; ").find((each) => each.startsWith(`${name}=`));
  return found ? found.slice(name.length + 1) : "";
}
