// Forms that can wait: sent as ever where the server answers, kept on this device where it does not.
import { noteChanges } from "./copies.js";
import { answers, changes, isDirty, lacking, names, served, shown, text } from "./fields.js";
import { ANY_JOB, newHandle, newJobId, uuid } from "./ids.js";
import * as outbox from "./outbox.js";
import * as page from "./page.js";
import { send } from "./sender.js";
import { draftOf, forget } from "./drafts.js";
import { cross, jot } from "./jots.js";

const SEND_MS = 8000;
const HANDLE = /^new-/;
const ADDED = { place: "name", load: "name", owned: "part" };
const underWay = new Set();

/** Take over every form that says which change it makes. */
export function start() {
  document.addEventListener("submit", (event) => {
    if (!event.target.dataset.op || event.defaultPrevented) return;
    event.preventDefault();
    submit(event.target, event.submitter);
  });
}

async function submit(form, button) {
  if (underWay.has(form)) return;
  underWay.add(form);
  form.setAttribute("aria-busy", "true");
  try {
    await sent(form, button);
  } finally {
    underWay.delete(form);
    form.removeAttribute("aria-busy");
  }
}

async function sent(form, button) {
  const ids = { op_id: uuid(), handle: newHandle(), made: newJobId() };
  for (const [name, id] of Object.entries(ids)) put(form, name, id); // under these the server knows it, also if its answer is lost
  const job = form.dataset.job ?? page.job();
  const note = noted(form, button, job, ids);
  jot(note);
  try {
    await delivered(form, button, job, note);
  } finally {
    cross(note);
  }
}

async function delivered(form, button, job, note) {
  if (await mustQueue(form, job)) return keep(form, button, job, untried(note), await send().catch(() => false));
  const isAway = navigator.onLine === false; // only its no can be trusted
  const answer = await post(form, button);
  const next = answer?.headers.get("Thriftloom-Go");
  if (next) return saved(form, job, next);
  if (answer && isForPerson(answer, form)) return native(form, button);
  return keep(form, button, job, isAway ? untried(note) : note, answer !== null);
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

/** What was made here must reach the server first: it knows neither a job nor a place that was begun here. */
async function mustQueue(form, job) {
  const earlier = await outbox.all(job === ANY_JOB ? "" : job);
  return Boolean(form.dataset.amends) || names(form).some((name) => HANDLE.test(text(form, name))) || (Boolean(job) && earlier.some((each) => outbox.isWaiting(each) || each.body.kind === "start"));
}

async function post(form, button) {
  const body = new URLSearchParams(new FormData(form, button));
  try {
    return await fetch(form.action, { method: "POST", body, headers: { "Thriftloom-Go": "1" }, signal: AbortSignal.timeout(SEND_MS) });
  } catch {
    return null;
  }
}

/** A page with errors, or an answer that a queue cannot give. Changed meanwhile and session lost are the queue's business. */
const isForPerson = (answer, form) => [404, 409, 410, 413, 422].includes(answer.status) || answer.ok || (form.dataset.op === "plan" && answer.status === 503);

async function saved(form, job, next) {
  forget(form);
  await dropStuck(form, job);
  await noteChanges(job ? `/jobs/${job}` : next);
  dispatchEvent(new CustomEvent("saved"));
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

async function keep(form, button, job, note, isOnline) {
  if (!isWhole(form, button)) return;
  await dropStuck(form, job);
  const amended = note.amends && (await outbox.all()).find(({ body }) => body.op_id === note.amends);
  await outbox.add(note);
  forget(form);
  cross(note);
  dispatchEvent(new CustomEvent("saved"));
  if (isOnline) await Promise.race([send(), new Promise((resolve) => setTimeout(resolve, SEND_MS))]);
  page.go(nextOf(form, button).replace(ANY_JOB, amended?.body.job ?? note.entries[0]?.body.job ?? job));
}

function nextOf(form, button) {
  const next = button?.dataset.next ?? form.dataset.next ?? location.pathname + location.search;
  return form.dataset.op === "add" ? `${next}?where=${text(form, "where")}` : next;
}

/** The changes that a form makes, as they are sent. */
function bodies(form, button, job, { handle, made }) {
  const entry = form.elements.entry?.value || null;
  switch (form.dataset.op) {
    case "start":
      return [{ kind: "start", job: made, units: units(), changes: answers(form) }];
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
  return name ? shown(form, name) || served(form, name) : "";
}
