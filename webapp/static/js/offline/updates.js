// A new version waits until somebody takes it. Nothing reloads under typing hands.
import { isAtWork } from "./drafts.js";
import { copy } from "./words.js";

const LOOK_AGAIN_MS = 3600_000;
let isWanted = false;

/** Install the worker and offer newer ones. On the page that takes it off the device it would come back with half of its files. */
export async function start() {
  const workers = navigator.serviceWorker;
  if (!workers || document.querySelector('[data-module="reset"]')) return;
  let before = workers.controller;
  workers.addEventListener("controllerchange", () => {
    if (before && (isWanted || !isAtWork())) location.reload();
    before = workers.controller;
  });
  const registration = await workers.register(workerAddress()).catch(() => null);
  if (!registration) return;
  if (registration.waiting) offer(registration);
  registration.addEventListener("updatefound", () => {
    const coming = registration.installing;
    coming.addEventListener("statechange", () => {
      if (coming.state === "installed" && workers.controller) offer(registration);
    });
  });
  setInterval(() => registration.update().catch(() => {}), LOOK_AGAIN_MS);
}

/** Our policy lets scripts start from marked addresses alone: this is the only one there is. */
function workerAddress() {
  const policy = self.trustedTypes?.createPolicy("worker", { createScriptURL: () => "/sw.js" });
  return policy?.createScriptURL("") ?? "/sw.js";
}

function offer(registration) {
  if (document.querySelector(".update")) return;
  const bar = copy("update");
  bar.querySelector("button").addEventListener("click", () => {
    isWanted = true;
    if (registration.waiting) registration.waiting.postMessage("use-now");
    else location.reload(); // another tab has taken it
  });
  bar.classList.toggle("update--last", document.querySelector(".dock") !== null);
  document.body.append(bar);
}
