// A page from before the last change gives way to what the server holds once that is here. Not under typing hands.
import { isAtWork } from "./drafts.js";
import { isSaving } from "./jots.js";
import { all, isWaiting, listen } from "./outbox.js";
import { copy, job } from "./page.js";
import { isLasting } from "./store.js";

/** What waited was taken by the server: this page shows what was there before. And wait for the page that this copy stands in for. */
export async function start() {
  listen(({ jobs }) => jobs?.includes(job()) && taken());
  const known = await copy;
  if (!known?.isBefore) return;
  navigator.serviceWorker.addEventListener("message", ({ data }) => data === "newer" && giveWay());
  if (known.isOver) giveWay();
}

/** Where the device keeps nothing, what was sent would wait again after loading anew, and be sent, and load anew. */
async function taken() {
  if (isLeaving() || (await all(job())).some(isWaiting)) return;
  if (isLasting()) giveWay();
  else dispatchEvent(new Event("newer"));
}

/** A form on its way leads on by itself. */
const isLeaving = () => document.querySelector("form[aria-busy]") !== null;

function giveWay() {
  if (isAtWork() || isSaving()) dispatchEvent(new Event("newer"));
  else location.reload();
}
