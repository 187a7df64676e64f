// Everything that makes the pages work without a signal, begun in the order in which it is needed.
import { amend } from "./amend.js";
import * as drafts from "./drafts.js";
import * as forms from "./forms.js";
import { keep, renewWhereSpokenOtherwise } from "./keep.js";
import * as outbox from "./outbox.js";
import { overlay } from "./overlay.js";
import * as page from "./page.js";
import * as renewal from "./renewal.js";
import { send } from "./sender.js";
import * as updates from "./updates.js";

const EVERY_MS = 30_000;
const SWITCHES = ["/language", "/settings/units"];
const switched = new WeakSet();
const QUIET_MS = 1500; // the page itself comes first

export async function start() {
  forms.start();
  page.adopt();
  drafts.hear();
  if (await page.keptAt) page.forgetFlashes();
  else page.showRefused();
  await outbox.recover();
  await overlay();
  await amend();
  drafts.start();
  if (!(await page.keptAt)) renewWhereSpokenOtherwise().catch(() => {});
  renewal.start();
  updates.start();
  sendWhenPossible();
  addEventListener("saved", askToStay);
  outbox.listen((news) => news.jobs?.forEach((job) => keep(job, page.title(), true)));
  keepThisJobSoon();
  navigator.serviceWorker?.addEventListener("controllerchange", keepThisJobSoon); // the first page of ours is older than the worker
}

function sendWhenPossible() {
  const seen = () => document.visibilityState === "visible" && outbox.takeUp().then(send);
  addEventListener("online", seen);
  addEventListener("pageshow", seen);
  document.addEventListener("visibilitychange", seen);
  setInterval(seen, EVERY_MS);
  seen();
  outbox.listen(() => askForSync());
  document.addEventListener("submit", sendBeforeSwitching);
}

/** What waits was typed in the language and units of now, and is sent in them. */
async function sendBeforeSwitching(event) {
  const form = event.target;
  if (switched.has(form) || !SWITCHES.includes(new URL(form.action).pathname)) return;
  event.preventDefault();
  switched.add(form);
  await send().catch(() => false);
  form.requestSubmit(event.submitter);
}

async function askForSync() {
  if (!(await outbox.all()).some(outbox.isWaiting)) return;
  const registration = await navigator.serviceWorker?.getRegistration().catch(() => null);
  await registration?.sync?.register("outbox").catch(() => {}); // not everywhere, and never relied on
}

function keepThisJobSoon() {
  setTimeout(() => page.job() && keep(page.job(), page.title()), QUIET_MS);
}

/** After the first thing saved: the browser should not throw away what is kept here. */
async function askToStay() {
  try {
    if (localStorage.getItem("asked-to-stay")) return;
    localStorage.setItem("asked-to-stay", "yes");
  } catch {
    return; // nothing is kept here
  }
  await navigator.storage?.persist?.();
}
