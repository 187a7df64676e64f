// Shows on a page what waits on this device: typed values in their fields, new and removed entries in their lists.
import { amendAddress } from "./amend.js";
import { fill, heading, setBase } from "./fields.js";
import { uuid } from "./ids.js";
import { here } from "./keep.js";
import * as outbox from "./outbox.js";
import * as page from "./page.js";
import { keyOf, pendingOf } from "./pending.js";
import { copy } from "./words.js";

/** Lay what waits over this page. */
export async function overlay() {
  const entries = await outbox.all();
  if (page.job()) ofJob(pendingOf(entries, page.job()), entries);
  else ofJobs(entries);
  if (location.hash === "#added" && document.activeElement === document.body) land();
}

/** A page loaded once more goes where one was, and what waits is in no page that is sent: go to what was added. */
function land() {
  const added = document.getElementById("added") ?? document.querySelector("[data-list=load] > :last-child");
  if (added) Object.assign(added, { tabIndex: -1 }).focus();
}

function ofJob(pending, entries) {
  const title = pending.title || (!page.title() && here()[page.job()]?.title);
  if (title) page.setTitle(title);
  showAhead(entries);
  for (const form of document.querySelectorAll("form[data-op]")) ofForm(form, pending);
  for (const [list, added] of Object.entries(pending.adds)) addRows(list, added, entries);
  for (const [key, entry] of pending.removed) strikeOut(key, entry);
  for (const [key, changes] of pending.changed) restate(key, changes);
}

/** A search that waits, or waiting changes that the plan of this page does not know. What needs the person is in no plan. */
function showAhead(entries) {
  const place = document.querySelector("[data-search]");
  if (!place) return;
  const pending = pendingOf(entries.filter(outbox.isWaiting), page.job());
  if (pending.search) place.replaceChildren(searchAhead(place.dataset.search, entries));
  else if (isChanged(pending) && document.getElementById("words-changed")) place.replaceChildren(copy("changed"));
}

function searchAhead(before, entries) {
  const notice = copy("search");
  const says = notice.querySelector("p");
  if (isHeld(entries.filter(({ body }) => body.job === page.job()))) says.textContent = says.dataset.held ?? says.textContent;
  if (before) notice.append(Object.assign(document.createElement("p"), { textContent: before }));
  return notice;
}

/** Whether the first search of a job that waits does so for the person, whatever the signal. */
const isHeld = (entries) => entries.slice(0, entries.findIndex((each) => each.body.kind === "plan" && outbox.isWaiting(each))).some((each) => !outbox.isWaiting(each));

const isChanged = ({ adds, changed, removed }) => changed.size + removed.size > 0 || Object.values(adds).some((list) => list.length);

function ofForm(form, pending) {
  for (const select of form.querySelectorAll('select[name="place"], select[name="where"]')) addPlaces(select, pending.adds.place);
  const fields = pending.fields.get(keyOf(form.dataset.op, form.elements.entry?.value)) ?? {};
  for (const [name, { said, base, state }] of Object.entries(fields)) {
    if (!fill(form, name, said)) continue;
    setBase(form, name, base);
    heading(form, name)?.append(" ", copy(state === "waiting" ? "waiting" : "needs"));
  }
}

function addPlaces(select, added) {
  for (const { id, name } of added) select.append(new Option(name, id));
  const asked = new URLSearchParams(location.search).get("where");
  if ([...select.options].some((option) => option.value === asked)) select.value = asked;
  if (!select.value && added.length) select.value = added[0].id;
  if (!select.form.elements.entry?.value) setBase(select.form, select.name, select.value); // ours: nobody has typed yet
  if (!added.length) return;
  for (const each of document.querySelectorAll('[data-needs="place"]')) each.hidden = false;
  for (const each of document.querySelectorAll('[data-lacks="place"]')) each.hidden = true;
}

function addRows(name, added, entries) {
  const list = document.querySelector(`[data-list="${name}"]`);
  if (!list || !added.length) return;
  for (const each of added) list.append(row(each, entries));
  show(name);
}

function show(name) {
  for (const each of document.querySelectorAll(`[data-with="${name}"]`)) each.hidden = false;
  for (const each of document.querySelectorAll(`[data-without="${name}"]`)) each.hidden = true;
}

function row({ id, name, entry }, entries) {
  const made = copy("row");
  made.querySelector(".card__title").append(name, " ", copy(entry.state === "waiting" ? "waiting" : "needs"));
  const link = made.querySelector("a");
  if (entry.body.kind === "form") link.href = amendAddress(entry);
  const button = made.querySelector("button");
  button.setAttribute("aria-label", `${button.textContent} ${name}`);
  button.hidden = entries.some((each) => each.body.where === id || each.body.changes?.place?.[1] === id);
  button.addEventListener("click", () => takeBack(entry));
  return made;
}

/** What has not been sent is forgotten; what may have been is removed by a further change. */
async function takeBack(entry) {
  const back = entry.tried && entry.state === "waiting" && contrary(entry.body);
  if (back) await outbox.add({ entries: [{ ...entry, tried: false, body: { op_id: uuid(), at: new Date().toISOString(), job: entry.body.job, ...back } }] });
  else await outbox.drop(entry.body.op_id);
  location.reload();
}

/** What takes a change back that may have been done by now. */
function contrary({ kind, handle, form, op_id }) {
  if (handle) return { kind: "remove", form: form ?? "load", entry: handle };
  return { delete: { kind: "restore" }, start: { kind: "delete" }, remove: { kind: "undo", op: op_id } }[kind];
}

const rowOf = (key) => document.querySelector(`[data-entry="${CSS.escape(key)}"]`);

function strikeOut(key, entry) {
  const found = rowOf(key);
  if (!found) return;
  found.classList.add("card--gone");
  found.querySelector(".card__title").append(" ", copy(entry.state === "waiting" ? "waiting" : "needs"));
  const undo = copy("undo");
  undo.setAttribute("aria-label", `${undo.textContent} ${entry.what}`);
  undo.addEventListener("click", () => takeBack(entry));
  for (const form of found.querySelectorAll("form")) form.hidden = true;
  (found.querySelector(".tools__list") ?? found).append(undo);
}

/** The row of an entry says what the server holds: what was said here since stands above that. */
function restate(key, changes) {
  const title = rowOf(key)?.querySelector(".card__title");
  if (!title) return;
  const needs = changes.some((each) => !outbox.isWaiting(each));
  for (const { body, detail } of changes) {
    if (body.changes.name) title.replaceChildren(body.changes.name[1]);
    const note = Object.assign(document.createElement("span"), { className: "card__fact", textContent: saidBeside(detail, body.changes.name?.[1] ?? title.textContent.trim()) });
    if (note.textContent) title.parentElement.append(note);
  }
  title.append(" ", copy(needs ? "needs" : "waiting"));
}

/** Of what a change says (`forms`), all but the name of what it changes. */
const saidBeside = (detail, name) => (detail.startsWith(name) ? detail.slice(name.length).replace(/^; /, "") : detail);

/** A mark is one of a plan, and its job is noted beside it. */
const jobOf = ({ body, job }) => body.job ?? job;

function ofJobs(entries) {
  const list = document.querySelector('[data-list="job"]');
  if (!list) return;
  for (const entry of entries.filter((each) => each.body.kind === "start" && !pendingOf(entries, each.body.job).deleted)) {
    const made = row({ id: entry.body.job, name: pendingOf(entries, entry.body.job).title || entry.detail || entry.what, entry }, []);
    made.querySelector("a").href = `/jobs/${entry.body.job}`;
    made.querySelector("button").hidden = entries.some((each) => each !== entry && each.body.job === entry.body.job);
    list.prepend(made);
    show("job");
  }
  for (const job of new Set(entries.map(jobOf))) {
    const { deleted } = pendingOf(entries, job);
    const own = entries.filter((each) => jobOf(each) === job);
    if (deleted) strikeOut(`job/${job}`, deleted);
    else rowOf(`job/${job}`)?.querySelector(".card__title").append(" ", copy(own.every(outbox.isWaiting) ? "waiting" : "needs"));
  }
}
