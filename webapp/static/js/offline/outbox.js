// Changes made here that the server has not taken yet, in the order they were made.
// One is {body: what is sent, state, tried, title, what, detail, page, result}.
import { adopt, edit, read } from "./store.js";

const LIST = "ops";
const NEWS = "outbox";
const channel = typeof BroadcastChannel === "undefined" ? null : new BroadcastChannel(NEWS);
const listeners = new Set();
if (channel) channel.onmessage = (event) => hear(event.data);

/** All of them, or those of one job. */
export async function all(job) {
  const list = (await read(LIST)) ?? [];
  return job ? list.filter((each) => each.body.job === job) : list;
}

/** Whether it still has to be sent; else it needs the person. */
export const isWaiting = (each) => each.state === "waiting";

/** Keep changes until they are sent. */
export async function add(...entries) {
  await alter((list) => [...list, ...entries.map((each) => ({ state: "waiting", tried: false, ...each }))]);
}

/** Take one back, or several. */
export const drop = (...ids) => alter((list) => list.filter((each) => !ids.includes(each.body.op_id)));

/** Change the list in one step, and tell every open page. */
export async function alter(change) {
  await edit(LIST, (list = []) => change(list));
  tell({});
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

function hear(news) {
  for (const listener of listeners) listener(news);
}
