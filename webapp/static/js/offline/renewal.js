// A page from before the last change gives way to what the server holds once that is here. Not under typing hands.
import { changedAt } from "./copies.js";
import { isAtWork } from "./drafts.js";
import { isSaving } from "./jots.js";
import { all, isWaiting, listen } from "./outbox.js";
import { askedAt, copy, job } from "./page.js";
import { isLasting } from "./store.js";
import { whenStill } from "./touch.js";

/** What waited was taken by the server: this page shows what was there before. And wait for the page that this copy stands in for. */
export async function start() {
  listen(({ jobs }) => isOf(jobs ?? []) && whenStill(taken));
  const known = await copy;
  if (!known?.isBefore) return (await isChangedSince(known ? known.changed : await askedAt())) && whenStill(taken);
  navigator.serviceWorker.addEventListener("message", ({ data }) => data === "newer" && whenStill(giveWay));
  if (known.isOver) whenStill(giveWay);
}

/** What waited may have been taken before this page listened: by another page, or by the worker. A page of the server's
 * lacks what was taken after it was asked for. Changes that the worker knew of when it showed a copy are none: what stands
 * in for a page that is not here is older than most. */
const isChangedSince = async (moment) => moment !== null && (await changedAt(location.pathname)) > moment;

/** The list of jobs shows what waits of any of them. */
const isOf = (jobs) => (document.querySelector('[data-list="job"]') ? jobs.length > 0 : jobs.includes(job()));

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
