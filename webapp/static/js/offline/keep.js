// Puts all pages of a job on this device once one of them was opened, so that the whole job opens without a signal.
import { copiesIn, dropCopies, keepCopy } from "./copies.js";
import { spoken } from "./page.js";

const LIST = "jobs-here";
const MARK = { "Thriftloom-Keep": "1" };
const REST_MS = 60_000;
const FRESH_MS = 24 * 3600_000;
/** Addresses that lead to a page of the job, and the list it is opened from. */
const waysIn = (job) => ["/", `/jobs/${job}`, `/jobs/${job}/plan`];
const MOST_PAGES = 600;

/** The jobs whose pages are here: id to {title, at, stamp, answered, spoken, addresses}. */
export function here() {
  try {
    return JSON.parse(localStorage.getItem(LIST)) ?? {};
  } catch {
    return {};
  }
}

/** Fetch what is new of a job. Without `force` at most once a minute, unless this page is a new one. */
export async function keep(job, title, force = false) {
  try {
    await keepAll(job, title, force);
  } catch (trouble) {
    if (trouble?.name !== "QuotaExceededError") throw trouble;
    dispatchEvent(new CustomEvent("full"));
  }
}

async function keepAll(job, title, force) {
  if (!self.caches || !navigator.serviceWorker?.controller) return;
  const known = here()[job];
  const main = document.getElementById("main").dataset;
  const answered = (main.job === job ? main.answered : undefined) ?? known?.answered; // who answers for a plan opens its pages
  force ||= answered !== known?.answered;
  if (!force && known?.spoken === spoken() && known.addresses.includes(location.pathname) && isWithin(known.asked, REST_MS)) return;
  const answer = await ask(`/jobs/${job}/pages.json`);
  if (!answer?.ok) return;
  const addresses = [...(await answer.json()), ...waysIn(job)];
  const stamp = JSON.stringify([addresses, import.meta.url, main.revision]);
  const isFresh = !force && known?.stamp === stamp && known.spoken === spoken() && isWithin(known.at, FRESH_MS);
  if (!isFresh) for (const address of addresses) if (!(await fetchOne(address))) return;
  note(job, { title, addresses, stamp, answered, spoken: spoken(), asked: Date.now(), at: isFresh ? known.at : Date.now() });
  await trim();
}

/** Clocks are set back: what is still to come is long ago. */
const isWithin = (moment, ms) => Math.abs(Date.now() - moment) < ms;

/** Fetch one page anew. False where the server does not answer. */
export async function fetchOne(address) {
  const begun = Date.now();
  const answer = await ask(address);
  if (!answer) return false;
  const isPage = answer.ok && answer.headers.get("Content-Type")?.startsWith("text/html");
  if (!isPage) return answer.status < 500;
  if (answer.redirected) await keepCopy(address, answer, begun, answer.url);
  await keepCopy(answer.url, answer, begun);
  return true;
}

// past the browser's own cache, where it would wait behind a request for the same page that hangs
const ask = (address) => fetch(address, { headers: MARK, cache: "no-store" }).catch(() => null);

function note(job, entry) {
  try {
    localStorage.setItem(LIST, JSON.stringify({ ...here(), [job]: entry }));
  } catch {
    // listed on the offline page only where it can be noted
  }
}

async function trim() {
  const cache = await copiesIn(spoken());
  const kept = await cache.keys();
  for (const request of kept.slice(0, Math.max(0, kept.length - MOST_PAGES))) await cache.delete(request);
}

/** Fetch the pages of jobs that are here in another language or in other units: typed texts would be read wrongly. */
export async function renewWhereSpokenOtherwise() {
  for (const [job, known] of Object.entries(here())) if (known.spoken !== spoken()) await keep(job, known.title, true);
}

/** Take all of it off this device. */
export async function removeAll() {
  await dropCopies();
  localStorage.removeItem(LIST);
}
