// A new entry that still waits, filled into its form once more: changed there, it takes its old place in the queue.
import { fill, setBase } from "./fields.js";
import { all } from "./outbox.js";

const MARK = "#amend=";

/** The address where an entry that waits is changed. */
export const amendAddress = (entry) => `${entry.page}${MARK}${entry.body.op_id}`;

/** Whether it was typed into a form that can be filled again. */
export const isTyped = ({ kind, changes }) => kind === "output" || kind === "preset" || Boolean(changes);

const opOf = ({ kind, form }) => form ?? { output: "add", preset: "add" }[kind] ?? "start";
const typed = ({ changes, where, output, what }) => (changes ? Object.entries(changes).map(([name, [, said]]) => [name, said]) : Object.entries({ where, output, what }).filter(([, said]) => said !== undefined));

/** Fill the form of this page with the entry that the address names. */
export async function amend() {
  if (!location.hash.startsWith(MARK)) return;
  const id = location.hash.slice(MARK.length);
  const entry = (await all()).find((each) => each.body.op_id === id);
  const form = entry && [...document.forms].find((each) => each.dataset.op === opOf(entry.body) && !each.elements.entry?.value);
  if (!form) return;
  form.dataset.amends = id;
  for (const [name, said] of typed(entry.body)) if (fill(form, name, said)) setBase(form, name, said);
  form.scrollIntoView();
}
