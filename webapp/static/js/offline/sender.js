// Sends what waits, one sender at a time. What the server has answered is settled; everything else stays.
import { noteChanges } from "./copies.js";
import { all, alter, isWaiting, tell } from "./outbox.js";

const MOST = 50;
const PING_MS = 3000;
const SEND_MS = 20_000;
const LONGEST_REST_S = 300;
let restUntil = 0; // it was asked to be left alone; by a clock that nobody sets

/** Gives a request up after so many milliseconds, in browsers of some years ago too. */
export function within(ms) {
  if (AbortSignal.timeout) return AbortSignal.timeout(ms);
  const controller = new AbortController();
  setTimeout(() => controller.abort(), ms);
  return controller.signal;
}

/** Whether the server answers just now. The browser's own word for it is not trusted. */
export async function isReachable() {
  try {
    const answer = await fetch("/ping", { cache: "no-store", signal: within(PING_MS) });
    if (answer.status === 204) navigator.serviceWorker?.controller?.postMessage("reached");
    return answer.status === 204;
  } catch {
    return false;
  }
}

/** Send all that waits. Whether the server could be reached; undefined where another page is sending and not waited for. */
export async function send(ifAvailable = true) {
  if (!navigator.locks) return drain(); // plain http: sent twice does no harm
  return navigator.locks.request("outbox-send", { ifAvailable }, (lock) => (lock ? drain() : undefined)).catch(drain); // nor where locks are refused
}

async function drain() {
  if (performance.now() < restUntil || !(await isReachable())) return false;
  for (let batch = await take(); batch.length; batch = await take()) {
    if (!(await deliver(batch))) return false;
  }
  return true;
}

async function take() {
  let batch = [];
  await all(); // what a page noted is in the list
  await alter((list) => {
    batch = sendable(list).slice(0, MOST);
    return batch.every((each) => each.tried) ? list : list.map((each) => (batch.includes(each) ? { ...each, tried: true } : each));
  });
  return batch.map((each) => each.body);
}

/** Those that depend on nothing that needs the person first. */
function sendable(list) {
  const stuck = list.filter((each) => each.state === "refused" || each.state === "gone").map((each) => each.body);
  const handles = new Set(stuck.map((body) => body.handle).filter(Boolean));
  const jobs = new Set(stuck.filter((body) => body.kind === "start").map((body) => body.job));
  return list.filter((each, at) => isWaiting(each) && !jobs.has(each.body.job) && !names(each.body, handles) && !isEarly(each.body, list.slice(0, at)));
}

/** A search waits until everything stated before it is settled: no plan of a job that lacks what was said. */
const isEarly = ({ kind, job }, before) => kind === "plan" && before.some((each) => each.body.job === job);

const names = (body, handles) => handles.has(body.entry) || handles.has(body.where) || Object.values(body.changes ?? {}).some(([, text]) => handles.has(text));

async function deliver(ops) {
  let answer;
  try {
    answer = await fetch("/sync", {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ ops }),
      signal: within(SEND_MS),
    });
    if (answer.ok) return await settle(ops, (await answer.json()).results);
  } catch {
    return false; // sent again later, with the same ids
  }
  restUntil = performance.now() + 1000 * Math.min(LONGEST_REST_S, Number(answer.headers.get("Retry-After")) || 0);
  if (![400, 413, 422].includes(answer.status)) return false; // busy, signed out, broken: all of it stays
  if (ops.length === 1) return refuse(ops, answer);
  for (const op of ops) if (!(await deliver([op]))) return false; // one of them spoils the lot
  return true;
}

/** Only the server itself refuses a change; of what stands before it, only a change that is too large to pass. */
async function refuse(ops, answer) {
  const { faults } = await answer.json().catch(() => ({}));
  if (!faults && answer.status !== 413) return false;
  return settle(ops, [{ op_id: ops[0].op_id, state: "refused", general: (faults ?? []).map((fault) => fault.message) }]);
}

async function settle(ops, results) {
  const byId = new Map(results.map((result) => [result.op_id, result]));
  const bodies = ops.filter((op) => byId.get(op.op_id)?.state === "done");
  const entries = new Map(bodies.filter((op) => op.handle).map((op) => [op.handle, byId.get(op.op_id).entry]));
  await alter((list) =>
    list
      .filter((each) => byId.get(each.body.op_id)?.state !== "done")
      .map((each) => (byId.has(each.body.op_id) ? { ...each, state: byId.get(each.body.op_id).state, result: byId.get(each.body.op_id) } : each))
      .map((each) => (each.tried ? each : { ...each, body: renamed(each.body, entries) })),
  );
  const jobs = [...new Set(bodies.map((op) => op.job).filter(Boolean))];
  if (jobs.length) await noteChanges(...jobs.map((job) => `/jobs/${job}`));
  if (bodies.length) tell({ jobs });
  return byId.size > 0;
}

/** A change that speaks of an entry as the server calls it by now. */
function renamed(body, entries) {
  const swap = (text) => entries.get(text) ?? text;
  const changed = { ...body };
  for (const name of ["entry", "where"]) if (body[name]) changed[name] = swap(body[name]);
  if (body.changes) changed.changes = Object.fromEntries(Object.entries(body.changes).map(([name, [old, text]]) => [name, [swap(old), swap(text)]]));
  return changed;
}
