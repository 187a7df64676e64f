// The page of this device: what waits, what needs the person, what is kept, and what can be done about it.
import { amendAddress, isTyped } from "../offline/amend.js";
import { uuid } from "../offline/ids.js";
import { fetchOne, here, removeAll } from "../offline/keep.js";
import * as outbox from "../offline/outbox.js";
import { send } from "../offline/sender.js";
import { clock, fill } from "../offline/words.js";

export default class Stored {
  #element;

  constructor(element) {
    this.#element = element;
    this.#on("send", () => this.#send());
    this.#on("send-first", () => this.#send());
    this.#on("stay", () => navigator.storage.persist().then(() => this.#showKept()));
    this.#on("remove", () => this.#remove());
    this.#on("copies-only", () => this.#removeCopies());
    outbox.listen(() => this.#showWaiting());
    this.#showWaiting();
    this.#showKept();
  }

  async #showWaiting() {
    const list = await outbox.all();
    this.#part("none").hidden = list.length > 0;
    this.#part("send").hidden = !list.some(outbox.isWaiting);
    this.#part("list").replaceChildren(...list.flatMap((entry) => this.#rows(entry, list)));
    if (!list.length) this.#part("unsent").hidden = true;
  }

  #rows(entry, list) {
    if (entry.state === "waiting") return [this.#row("waits", entry, { drop: entry.tried || isNeeded(entry, list) ? null : () => outbox.drop(entry.body.op_id) })];
    if (entry.state === "conflict") return Object.keys(entry.result.fields).filter((name) => isLast(entry, name, list)).map((name) => this.#asking(entry, name, list));
    return [this.#failed(entry)];
  }

  #asking(entry, name, list) {
    const { label, theirs, yours_words, theirs_words, when } = entry.result.fields[name];
    const row = this.#row("asks", entry, { mine: () => settle(entry, name, theirs), theirs: () => settle(entry, name) });
    slot(row, "what").textContent = [entry.what, label].filter((words, at, both) => words && both.indexOf(words) === at).join(": ");
    slot(row, "yours").textContent = yours_words || "–";
    slot(row, "theirs").textContent = theirs_words || "–";
    slot(row, "when").textContent = when ? clock(when) : "";
    return row;
  }

  #failed(entry) {
    const { errors = {}, general = [] } = entry.result ?? {};
    const row = this.#row("fails", entry, { drop: () => outbox.drop(entry.body.op_id), again: entry.state === "gone" ? () => sendAgain(entry) : null });
    row.querySelector("[data-gone]").hidden = entry.state !== "gone";
    slot(row, "errors").replaceChildren(...[...Object.values(errors), ...general].map((textContent) => Object.assign(document.createElement("li"), { textContent })));
    const open = slot(row, "open");
    if (entry.state === "gone" || !(isTyped(entry.body) || entry.body.kind === "mark")) open.remove();
    else open.href = entry.body.handle || entry.body.kind === "start" ? amendAddress(entry) : entry.page;
    return row;
  }

  #row(kind, entry, acts) {
    const row = this.#element.querySelector(`template[data-for="${kind}"]`).content.firstElementChild.cloneNode(true);
    slot(row, "what").textContent = [entry.what, entry.detail].filter(Boolean).join(": ");
    slot(row, "where").textContent = [entry.title, clock(entry.body.at)].filter(Boolean).join(" · ");
    for (const button of row.querySelectorAll("[data-act]")) {
      const act = acts[button.dataset.act];
      button.hidden = !act;
      button.addEventListener("click", act);
    }
    return row;
  }

  async #showKept() {
    const jobs = Object.values(here());
    this.#part("jobs").textContent = String(jobs.length);
    this.#part("fresh").textContent = jobs.length ? clock(Math.max(...jobs.map(({ at }) => at))) : "–";
    this.#part("titles").replaceChildren(...jobs.map(({ title }) => Object.assign(document.createElement("li"), { className: "ledger__row", textContent: title })));
    this.#part("remove").hidden = !jobs.length;
    if (!navigator.storage?.estimate) return;
    const { usage = 0 } = await navigator.storage.estimate();
    const size = new Intl.NumberFormat(document.documentElement.lang, { maximumFractionDigits: 1 }).format(usage / 1e6);
    this.#part("room").textContent = fill(this.#part("room").dataset.shape, { size });
    const stays = await navigator.storage.persisted();
    this.#part("stays").textContent = this.#part("stays").dataset[stays ? "yes" : "no"];
    this.#part("stay").hidden = stays;
  }

  async #send() {
    const said = this.#part("sent");
    said.textContent = said.dataset.begun;
    said.textContent = said.dataset[(await send(false)) ? "reached" : "silent"];
  }

  async #remove() {
    if (!(await outbox.all()).length) return this.#removeCopies();
    this.#part("unsent").hidden = false;
    this.#part("send-first").focus();
  }

  async #removeCopies() {
    await removeAll();
    await fetchOne("/");
    this.#part("unsent").hidden = true;
    this.#part("removed").textContent = this.#part("removed").dataset.words;
    this.#showKept();
  }

  #on(name, act) {
    this.#part(name).addEventListener("click", act);
  }

  #part(name) {
    return this.#element.querySelector(`[data-part="${name}"]`);
  }
}

const slot = (row, name) => row.querySelector(`[data-slot="${name}"]`);

/** Whether another change speaks of what this one makes. */
const isNeeded = ({ body }, list) => list.some((each) => each.body.op_id !== body.op_id && ((body.kind === "start" && each.body.job === body.job) || (body.handle && JSON.stringify(each.body).includes(body.handle))));

const subject = ({ body }) => [body.kind, body.job, body.plan, body.form, body.entry, body.key].join();

/** Of several changes of one field only the last is asked about. */
function isLast(entry, name, list) {
  const same = list.filter((each) => each.state === "conflict" && subject(each) === subject(entry) && each.result.fields[name]);
  return same.at(-1) === entry;
}

/** What it belonged to may be back. Under an id of its own: the answer to the old one is final. */
async function sendAgain(entry) {
  const anew = { ...entry, body: { ...entry.body, op_id: uuid() }, state: "waiting", tried: false, result: undefined };
  await outbox.alter((list) => list.map((each) => (each.body.op_id === entry.body.op_id ? anew : each)));
  await send();
}

/** Take theirs, or with `theirs` given set mine once more against it. */
async function settle(entry, name, theirs) {
  const isOver = (each) => each.state === "conflict" && subject(each) === subject(entry) && name in each.result.fields;
  await outbox.alter((list) => {
    const left = list.map((each) => (isOver(each) ? without(each, name) : each)).filter((each) => each.state !== "conflict" || Object.keys(each.result.fields).length);
    return theirs === undefined ? left : [...left, mine(entry, name, theirs)];
  });
  if (theirs === undefined && entry.body.kind === "mark") await outbox.remark(entry.body, entry.result.fields[name].theirs);
  await send();
}

function without(entry, name) {
  const { [name]: _, ...fields } = entry.result.fields;
  return { ...entry, result: { ...entry.result, fields } };
}

function mine(entry, name, theirs) {
  const { yours } = entry.result.fields[name];
  const body = { ...entry.body, op_id: uuid(), at: new Date().toISOString() };
  if (body.kind === "mark") Object.assign(body, { old: theirs, new: yours });
  else body.changes = { [name]: [theirs, yours] };
  return { ...entry, body, state: "waiting", tried: false, result: undefined };
}
