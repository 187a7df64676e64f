// What the changes that wait make of a job: pure, from the outbox alone.

/** The lists that an entry of each kind of change goes into. */
const LISTS = { place: "place", load: "load", owned: "owned", preset: "load", output: "load", duplicate: "load" };

/** What waits for one job: {title, search, adds: {place, load, owned}, fields, changed, removed, deleted}. */
export function pendingOf(entries, job) {
  const pending = { title: "", search: false, deleted: null, adds: { place: [], load: [], owned: [] }, fields: new Map(), changed: new Map(), removed: new Map() };
  for (const each of entries) if (each.body.job === job) apply(pending, each);
  return pending;
}

/** Under what the changes of one form are found. */
export const keyOf = (form, entry) => `${form}/${entry || ""}`;

function apply(pending, each) {
  const { body } = each;
  if (body.kind === "plan") pending.search = true;
  if (body.kind === "delete") pending.deleted = each;
  if (body.kind === "restore") pending.deleted = null;
  if (body.kind === "undo") undo(pending, body.op);
  else if (body.kind === "remove") remove(pending, each);
  else if (body.handle) pending.adds[LISTS[body.form ?? body.kind]].push({ id: body.handle, name: each.detail, entry: each });
  else if (body.changes) overlay(pending, each);
}

function remove(pending, each) {
  const list = pending.adds[each.body.form];
  const at = list.findIndex((added) => added.id === each.body.entry);
  if (at >= 0) list.splice(at, 1);
  else pending.removed.set(keyOf(each.body.form, each.body.entry), each);
}

function undo(pending, removal) {
  for (const [key, { body }] of pending.removed) if (body.op_id === removal) pending.removed.delete(key);
}

function overlay(pending, each) {
  const { body } = each;
  const key = keyOf(body.form ?? "battery", body.entry);
  const fields = pending.fields.get(key) ?? {};
  for (const [name, [old, said]] of Object.entries(body.changes)) fields[name] = { said, base: baseOf(each, name, old, said), state: each.state };
  pending.fields.set(key, fields);
  pending.changed.set(key, [...(pending.changed.get(key) ?? []), each]);
  if (fields.title && body.changes.title) pending.title = fields.title.said;
  const added = pending.adds[body.form]?.find((one) => one.id === body.entry);
  if (added && body.changes.name) added.name = body.changes.name[1];
}

/** What the next change of the field counts against: what the server will hold, as far as we know. */
function baseOf(each, name, old, said) {
  if (each.state === "conflict") return each.result.fields[name]?.theirs ?? said;
  return each.state === "waiting" ? said : old;
}
