// A new entry that still waits, filled into its form once more: changed there, it takes its old place in the queue.
import { fill, setBase } from "./fields.js";
import { all } from "./outbox.js";

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
