// Changes made here that the server has not taken yet, in the order they were made.
// One is {body: what is sent, state, tried, title, what, detail, page, result}.
import { cross, forgetItem, leftBehind } from "./jots.js";
import { queued } from "./queue.js";
import { adopt, edit, read } from "./store.js";

const LIST = "ops";
const NEWS = "outbox";
const MOST_KNOWN = 500;
const channel = typeof BroadcastChannel === "undefined" ? null : new BroadcastChannel(NEWS);
const listeners = new Set();
let begun;
if (channel) channel.onmessage = (event) => hear(event.data);

/** All of them, or those of one job. */
export async function all(job) {
  await (begun ??= takeUp());
  const list = (await read(LIST)) ?? [];
  return job ? list.filter((each) => each.body.job === job) : list;
}

/** Whether it still has to be sent; else it needs the person. */
export const isWaiting = (each) => each.state === "waiting";

/** Keep what a note says (`jots`) until it is sent. */
export async function add(note) {
  for (const { body } of note.entries) if (body.kind === "mark") await remark(body, body.new, body.at);
  await alter((list) => queued(list, note));
}

/** What a mark says from now on: copies of its page are older. */
export const remark = ({ plan, key }, said, at = new Date().toISOString()) => edit(marksOf(plan), (known = {}) => lastOnes({ ...known, [key]: [said, at] }));

/** What was marked here on a plan, also what is sent by now: key to [value, when]. */
export const marked = async (plan) => (await read(marksOf(plan))) ?? {};

const marksOf = (plan) => `marks:${plan}`;
const lastOnes = (known) => Object.fromEntries(Object.entries(known).slice(-MOST_KNOWN));

/** Take one back, or several. A mark says again what it said before. */
export async function drop(...ids) {
  const isDropped = ({ body }) => ids.includes(body.op_id);
  for (const { body } of await all()) if (body.kind === "mark" && isDropped({ body })) await remark(body, body.old);
  await alter((list) => list.filter((each) => !isDropped(each)));
}

/** Change the list in one step, and tell every open page. The same list back is no news: news begin another sending. */
export async function alter(change) {
  let isNews = false;
  await edit(LIST, (list = []) => {
    const changed = change(list);
    isNews = changed !== list;
    return changed;
  });
  if (isNews) tell({});
}

/** Tell every open page; `jobs` are those that the server has changed. */
export function tell(news) {
  channel?.postMessage(news);
  hear(news);
}

/** Be told of every change, also of those made by other pages. */
export const listen = (listener) => listeners.add(listener);

/** Take over what a page without a database left behind. */
export async function recover() {
  if (await adopt(LIST)) tell({});
}

/** Take over what a page noted that was gone before it was kept. Sent already, it does no harm: its id is the same. */
export async function takeUp() {
  for (const note of leftBehind()) {
    await add(note);
    forgetItem(note.draft);
    cross(note);
  }
}

function hear(news) {
  for (const listener of listeners) listener(news);
}
