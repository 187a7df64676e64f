// Forms that can wait: sent as ever where the server answers, kept on this device where it does not. Those that cannot stay
// on their page where it does not, and say so.
import { noteChanges, spokenIn } from "./copies.js";
import { answers, changes, isDirty, label, lacking, names, served, setBase, shown, text } from "./fields.js";
import { ANY_JOB, newHandle, newJobId, uuid } from "./ids.js";
import * as outbox from "./outbox.js";
import * as page from "./page.js";
import { isReachable, send, within } from "./sender.js";
import { isPassing } from "./store.js";
import { leaving } from "./touch.js";
import { copy } from "./words.js";
import { draftOf, forget, isLate } from "./drafts.js";
import { cross, jot } from "./jots.js";

const SEND_MS = 8000;
const HANDLE = /^new-/;
const OF_WORK = /^\/(jobs|plans)\//;
const ADDED = { place: "name", load: "name", owned: "part" };
const underWay = new Set();
const taken = new Map(); // forms whose next page is on its way, to the button: sent again they would be done twice
const unsent = new WeakMap(); // forms that could be neither sent nor kept, to their ids

/** Take over every form that changes a job or a plan. */
export function start() {
  document.addEventListener("submit", (event) => {
    const { target: form, submitter } = event;
    if (event.defaultPrevented || !(form.dataset.op || isOfWork(form))) return;
    event.preventDefault();
    submit(form, submitter, form.dataset.op ? sent : sentOrNot);
  });
  document.addEventListener("input", ({ target }) => taken.delete(target.form));
  addEventListener("pageshow", () => taken.clear());
}

async function submit(form, button, act) {
  if (underWay.has(form) || (taken.has(form) && taken.get(form) === button)) return;
  underWay.add(form);
  form.setAttribute("aria-busy", "true");
  dispatchEvent(new Event("jotted"));
  try {
    await act(form, button);
  } finally {
    underWay.delete(form);
    form.removeAttribute("aria-busy");
    dispatchEvent(new Event("jotted"));
  }
}

const isOfWork = ({ method, action }) => method === "post" && OF_WORK.test(new URL(action).pathname);

/** What cannot wait stays in its form where the server does not take it; sent again it is done once. */
async function sentOrNot(form, button) {
  if (!document.getElementById("words-late")) return native(form, button); // a copy from before there were words for it
  for (const notice of form.querySelectorAll("[data-untaken]")) notice.remove();
  const ids = unsent.get(form) ?? { op_id: uuid() };
  put(form, "op_id", ids.op_id);
  const answer = await post(form, button);
  const next = answer?.headers.get("Thriftloom-Go");
  if (next) {
    unsent.delete(form);
    await noteChanges(new URL(form.action).pathname);
    return leave(form, button, next);
  }
  const isBusy = answer?.status === 503;
  if (answer && !isBusy && spokenIn(answer)) return native(form, button);
  unsent.set(form, ids);
  say(form, button, isBusy && spokenIn(answer) ? "busy" : (await isReachable()) ? "late" : "silent");
}

function say(form, button, name) {
  const notice = copy(name);
  const before = button?.closest(".actions") ?? button;
  if (before) before.before(notice);
  else form.append(notice);
  dispatchEvent(new Event("jotted"));
  for (const each of [button, notice]) each?.scrollIntoView({ block: "nearest" });
}

async function sent(form, button) {
  const ids = unsent.get(form) ?? { op_id: uuid(), handle: newHandle(), made: newJobId() };
  unsent.delete(form);
  for (const [name, id] of Object.entries(ids)) put(form, name, id); // under these the server knows it, also if its answer is lost
  const job = form.dataset.job ?? page.job();
  const note = noted(form, button, job, ids);
  jot(note);
  try {
    await delivered(form, button, job, note, ids);
  } finally {
    cross(note);
  }
}

async function delivered(form, button, job, note, ids) {
  if (await mustQueue(form, job)) return keep(form, button, job, untried(note), ids, await send().catch(() => false));
  const isAway = navigator.onLine === false; // only its no can be trusted
  const answer = await post(form, button);
  const next = answer?.headers.get("Thriftloom-Go");
  if (next) return saved(form, button, job, next);
  if (answer && isForPerson(answer, form)) return native(form, button);
  return keep(form, button, job, isAway ? untried(note) : note, ids, answer !== null);
}

/** What the form changes, as it goes into the outbox. It may be sent before we know: also where this page is gone first. */
function noted(form, button, job, ids) {
  const entries = bodies(form, button, job, ids).map((body, at) => ({
    tried: !at,
    body: { op_id: at ? uuid() : ids.op_id, at: new Date().toISOString(), ...body },
    title: body.kind === "start" ? text(form, "title") : (form.dataset.title ?? page.title()),
    what: form.dataset.called ?? button?.getAttribute("aria-label") ?? button?.textContent.trim() ?? "",
    detail: detail(form, button),
    page: location.pathname + location.search,
  }));
  return { entries, amends: form.dataset.amends, draft: draftOf(form) };
}

const untried = (note) => ({ ...note, entries: note.entries.map((each) => ({ ...each, tried: false })) });

/** What was made here must reach the server first: it knows neither a job nor a place that was begun here. What was typed
 * long ago counts against what was read then, which only the outbox says. */
async function mustQueue(form, job) {
  const earlier = await outbox.all(job === ANY_JOB ? "" : job);
  return Boolean(form.dataset.amends) || isLate(form) || names(form).some((name) => HANDLE.test(text(form, name))) || (Boolean(job) && earlier.some((each) => outbox.isWaiting(each) || each.body.kind === "start"));
}

async function post(form, button) {
  const body = new URLSearchParams(new FormData(form));
  if (button?.name) body.append(button.name, button.value); // older browsers have no other way
  try {
    return await fetch(form.action, { method: "POST", body, headers: { "Thriftloom-Go": "1" }, signal: within(SEND_MS) });
  } catch {
    return null;
  }
}

/** A page of ours with errors, or an answer that a queue cannot give. Changed meanwhile and session lost are the queue's business. */
const isForPerson = (answer, form) => spokenIn(answer) && !answer.redirected && isToRead(answer, form);
const isToRead = (answer, form) => [404, 409, 410, 413, 422].includes(answer.status) || answer.ok || (form.dataset.op === "plan" && answer.status === 429);

async function saved(form, button, job, next) {
  forget(form);
  await dropStuck(form, job);
  await noteChanges(job ? `/jobs/${job}` : next);
  leave(form, button, next);
}

/** Go on. What is typed here before the next page comes counts against what was just saved. */
function leave(form, button, next) {
  taken.set(form, button);
  if (!isNew(form)) for (const name of names(form)) setBase(form, name, text(form, name));
  dispatchEvent(new CustomEvent("saved"));
  leaving();
  page.go(next);
}

/** Errors that the person has answered with this form are settled. */
async function dropStuck(form, job) {
  const entry = form.elements.entry?.value || null;
  const isSame = ({ body, state }) => state !== "waiting" && body.job === job && body.form === form.dataset.op && (body.entry ?? null) === entry;
  if (ADDED[form.dataset.op] && !entry) return; // another entry, not that one
  const stuck = (await outbox.all(job)).filter(isSame);
  if (stuck.length) await outbox.drop(...stuck.map((each) => each.body.op_id));
}

function native(form, button) {
  if (button?.name) put(form, button.name, button.value);
  form.submit();
}

function put(form, name, value) {
  const input = form.querySelector(`input[type="hidden"][name="${name}"]`) ?? form.appendChild(Object.assign(document.createElement("input"), { type: "hidden", name }));
  input.value = value;
}

/** Whether nothing is missing that the page asks for; else the browser says so. A server would say it in its own words. */
function isWhole(form, button) {
  const field = button?.formNoValidate ? null : lacking(form, isNew(form));
  field?.closest("details")?.setAttribute("open", "");
  return !field || field.reportValidity();
}

/** Whether it states something from the beginning. */
const isNew = (form) => ["start", "add"].includes(form.dataset.op) || (form.dataset.op in ADDED && !form.elements.entry?.value);

async function keep(form, button, job, note, ids, isOnline) {
  if (!isWhole(form, button)) return;
  await dropStuck(form, job);
  const amended = note.amends && (await outbox.all()).find(({ body }) => body.op_id === note.amends);
  await outbox.add(note);
  if (isPassing() && !(await isOff(note))) return void unsent.set(form, ids); // it stays in its form, which is all there is
  forget(form);
  cross(note);
  if (isOnline) await Promise.race([send(), new Promise((resolve) => setTimeout(resolve, SEND_MS))]);
  leave(form, button, nextOf(form, button).replace(ANY_JOB, amended?.body.job ?? note.entries[0]?.body.job ?? job));
}

/** Send at once what would go with this page; what cannot be sent is taken out again. */
async function isOff({ entries }) {
  await send();
  const ids = entries.map(({ body }) => body.op_id);
  const left = (await outbox.all()).filter(({ body }) => ids.includes(body.op_id));
  if (left.length) await outbox.drop(...ids);
  return !left.length;
}

function nextOf(form, button) {
  const next = button?.dataset.next ?? form.dataset.next ?? location.pathname + location.search;
  return form.dataset.op === "add" ? `${next}?where=${text(form, "where")}#added` : next;
}

/** The changes that a form makes, as they are sent. */
function bodies(form, button, job, { handle, made }) {
  const entry = form.elements.entry?.value || null;
  switch (form.dataset.op) {
    case "start":
      return [{ kind: "start", job: made, units: units(), changes: { ...answers(form), day: ["", form.elements.day.value] } }];
    case "add":
      return [{ kind: button.name === "preset" ? "preset" : "output", job, handle, where: text(form, "where"), ...added(form, button) }];
    case "remove":
      return [{ kind: "remove", job, form: form.dataset.form, entry }];
    case "duplicate":
      return [{ kind: "duplicate", job, entry, handle }];
    case "undo":
      return [{ kind: "undo", job, op: form.dataset.removal }];
    case "plan":
    case "delete":
    case "restore":
      return [{ kind: form.dataset.op, job }];
    default:
      return [...stated(form, job, entry, handle), ...(button?.value === "plan" ? [{ kind: "plan", job }] : [])];
  }
}

/** In which numbers are typed here. */
const units = () => document.documentElement.dataset.units;
const added = (form, button) => (button.name === "preset" ? { preset: button.value } : { output: text(form, "output"), what: text(form, "what") });

function stated(form, job, entry, handle) {
  const body = { kind: "form", job, form: form.dataset.op, entry, units: units() };
  if (isNew(form)) return [{ ...body, handle, changes: answers(form) }];
  return isDirty(form) ? [{ ...body, changes: changes(form) }] : [];
}

function detail(form, button) {
  if (form.dataset.op === "add") return button.name === "preset" ? button.textContent.trim() : text(form, "what") || text(form, "output");
  if (form.dataset.op === "start") return text(form, "title");
  if (form.dataset.op === "duplicate") return form.closest("[data-entry]")?.querySelector(".card__title")?.firstChild.textContent.trim() ?? "";
  if (form.dataset.detail) return form.dataset.detail;
  const name = ADDED[form.dataset.op];
  const changed = isNew(form) ? [] : Object.keys(changes(form)).filter((each) => each !== name);
  return [name && (shown(form, name) || served(form, name)), ...changed.map((each) => `${label(form, each)}: ${shown(form, each)}`)].filter(Boolean).join("; ");
}
