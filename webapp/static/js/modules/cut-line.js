// Turns from cut to cut without the server, and keeps the screen on meanwhile. All words are in the page.
export default class CutLine {
  #element;
  #lock = null;

  constructor(element) {
    this.#element = element;
    element.addEventListener("click", (event) => this.#turned(event));
    addEventListener("popstate", () => this.#show(this.#asked()));
    document.addEventListener("visibilitychange", () => this.#stayAwake());
    if (this.#asked()) this.#show(this.#asked(), false);
    this.#stayAwake();
  }

  #turned(event) {
    const link = event.target.closest("a[data-to]");
    if (!link || event.metaKey || event.ctrlKey || event.shiftKey) return;
    event.preventDefault();
    history.pushState(null, "", link.href);
    this.#show(link.dataset.to);
  }

  #asked() {
    return new URLSearchParams(location.search).get("at");
  }

  #show(number, moves = true) {
    const line = this.#element.querySelector(`[data-line="${CSS.escape(number ?? "")}"]`);
    if (!line) return;
    for (const each of this.#element.querySelectorAll("[data-line]")) each.hidden = each !== line;
    if (moves) line.querySelector("h2").focus({ preventScroll: true });
  }

  /** A lock ends by itself when the page is left or hidden; it is asked for again when it is back. */
  async #stayAwake() {
    if (document.visibilityState !== "visible") return;
    try {
      this.#lock = await navigator.wakeLock.request("screen");
      this.#lock.addEventListener("release", () => this.#say(false));
      this.#say(true);
    } catch {
      this.#say(false);
    }
  }

  #say(isAwake) {
    this.#element.querySelector('[data-part="awake"]').hidden = !isAwake;
    this.#element.querySelector('[data-part="asleep"]').hidden = isAwake;
  }
}
