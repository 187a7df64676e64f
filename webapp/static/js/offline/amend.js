// A new entry that still waits, filled into its form once more: changed there, it takes its old place in the queue.
import { fill, setBase } from "./fields.js";
import { alter, all } from "./outbox.js";

const MARK = "#amend=";

/** The address where an entry that waits is changed. */
export const amendAddress = (entry) => `${entry.page}${MARK}${entry.body.op_id}`;

/** Fill the form of this page with the entry that the address names. */
export async function amend() {
  if (!location.hash.startsWith(MARK)) return;
  const id = location.hash.slice(MARK.length);
  const entry = (await all()).find((each) => each.body.op_id === id);
  const form = entry && [...document.forms].find((each) => each.dataset.op === (entry.body.form ?? "start") && !each.elements.entry?.value);
  if (!form) return;
  form.dataset.amends = id;
  for (const [name, [, said]] of Object.entries(entry.body.changes)) if (fill(form, name, said)) setBase(form, name, said);
  form.scrollIntoView();
}

/** Put a changed entry in the place of the old one; one that may have been sent already is changed by a further change.
 * The job it belongs to. */
export async function amended(id, made) {
  let owner = made.body.job;
  await alter((list) => {
    const old = list.find((each) => each.body.op_id === id);
    owner = old?.body.job ?? owner;
    if (!old) return [...list, { state: "waiting", tried: false, ...made }];
    const { handle, job } = old.body;
    if (old.tried && old.state === "waiting") return [...list, { ...later(old, made), state: "waiting", tried: false }];
    const body = { ...made.body, job, ...(handle && { handle }) };
    return list.map((each) => (each === old ? { ...made, body, state: "waiting", tried: false } : each));
  });
  return owner;
}

function later(old, made) {
  const changes = Object.entries(made.body.changes).map(([name, [, said]]) => [name, [old.body.changes[name]?.[1] ?? "", said]]);
  const changed = Object.fromEntries(changes.filter(([, [before, said]]) => before !== said));
  const body = { op_id: made.body.op_id, at: made.body.at, kind: "form", job: old.body.job, form: old.body.form ?? "battery", entry: old.body.handle ?? null, units: made.body.units, changes: changed };
  return { ...made, body };
}
