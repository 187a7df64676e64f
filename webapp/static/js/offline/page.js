// The page one is on: whose job it shows, and whether it is a copy that was kept on this device.
import { ANY_JOB } from "./ids.js";

const PATIENCE_MS = 10_000; // on a slow device it is late, and a copy must not be taken for the page itself
const main = document.getElementById("main");
const WITH_JOB = { a: "href", form: "action", "[data-next]": "data-next" };

/** The job of this page, undefined where there is none. */
export const job = () => (main.dataset.job === ANY_JOB ? jobOf(location.pathname) : main.dataset.job);
export const title = () => main.dataset.title ?? "";
export const setTitle = (words) => {
  main.dataset.title = words;
  const shown = document.querySelector(".case__job");
  if (shown) shown.textContent = words;
};

/** The job in an address. */
const jobOf = (path) => path.match(/^\/jobs\/([0-9a-z]{26})(?:\/|$)/)?.[1];

/** A page that is for any job now speaks of this one. */
export function adopt() {
  const own = jobOf(location.pathname);
  if (main.dataset.job !== ANY_JOB || !own) return;
  setTitle("");
  for (const [selector, name] of Object.entries(WITH_JOB)) {
    for (const element of document.querySelectorAll(selector)) {
      const address = element.getAttribute(name);
      if (address) element.setAttribute(name, address.replace(ANY_JOB, own));
    }
  }
}

/** Language and units of this page. */
export const spoken = () => `${document.documentElement.lang} ${document.documentElement.dataset.units}`;

/** What the worker knows of the copy that this is, {at, changed, isBefore, isOver}; null where the server has just sent the page. */
export const copy = askWorker("copy");

/** When this copy was fetched; null where the server has just sent the page. */
export const keptAt = copy.then((known) => known?.at ?? null);

/** When this page was asked for; null where the worker does not know. */
export const askedAt = () => askWorker("asked");

function askWorker(question) {
  const worker = navigator.serviceWorker?.controller;
  if (!worker) return Promise.resolve(null);
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = (event) => resolve(event.data);
    setTimeout(() => resolve(null), PATIENCE_MS);
    worker.postMessage(question, [port2]);
  });
}

/** What was said once is not said again by a copy. */
export function forgetFlashes() {
  for (const each of document.querySelectorAll("[data-once]")) each.remove();
}

/** What was refused is said at the top, and a page loaded once more goes where one was. */
export function showRefused() {
  const refused = document.querySelector(".notice--stop[data-once]");
  if (refused && document.activeElement === document.body) Object.assign(refused, { tabIndex: -1 }).focus();
}

/** Go to an address, also where one is there already. A page that answered a faulty form is not loaded anew: it would send
 * that form once more. Under another name it makes way for the page itself. */
export function go(address) {
  const target = new URL(address, location);
  const isHere = target.pathname === location.pathname && target.search === location.search;
  if (!isHere) return location.assign(target);
  const isAnswer = document.getElementById("errors");
  history.replaceState(null, "", isAnswer ? "?" : target);
  if (isAnswer) location.replace(target);
  else location.reload();
}
