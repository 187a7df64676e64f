// How changes go into the list of those that wait: pure. None goes in twice.

/** The list with the changes of a note behind it, or in the place of the entry that they amend. */
export function queued(list, { entries, amends }) {
  const isNew = (made) => !list.some((each) => each.body.op_id === made.body.op_id);
  return entries.filter(isNew).reduce((all, made) => placed(all, { state: "waiting", tried: false, ...made }, amends), list);
}

function placed(list, made, amends) {
  if (amends) return replaced(list, made, amends);
  if (made.body.kind === "plan" && isAsked(list, made.body.job)) return list;
  return made.body.kind === "mark" ? joined(list, made) : [...list, made];
}

/** Whether the last that waits of a job is a search already: another one would find the same. */
function isAsked(list, job) {
  const last = list.findLast(({ body }) => body.job === job);
  return last?.body.kind === "plan" && last.state === "waiting";
}

/** Ticked and unticked before it was sent: that is one change, or none. */
function joined(list, made) {
  const before = list.findLast(({ body }) => body.kind === "mark" && body.plan === made.body.plan && body.key === made.body.key);
  const rest = list.filter((each) => each !== before);
  if (before?.state === "refused") return [...rest, made]; // answered by this one
  if (!before || before.tried || before.state !== "waiting") return [...list, made];
  const body = { ...made.body, old: before.body.old };
  return body.old === body.new ? rest : [...rest, { ...made, body }];
}

/** A changed entry in the place of the old one; one that may have been sent already is changed by a further change. */
function replaced(list, made, id) {
  const old = list.find((each) => each.body.op_id === id);
  if (!old) return [...list, made];
  const { handle, job } = old.body;
  if (old.tried && old.state === "waiting") return [...list, { ...made, tried: false, body: later(old.body, made.body) }];
  const body = { ...made.body, job, ...(handle && { handle }) };
  return list.map((each) => (each === old ? { ...made, tried: false, body } : each));
}

function later(old, made) {
  const changes = Object.entries(made.changes).map(([name, [, said]]) => [name, [old.changes[name]?.[1] ?? "", said]]);
  const changed = Object.fromEntries(changes.filter(([, [before, said]]) => before !== said));
  return { op_id: made.op_id, at: made.at, kind: "form", job: old.job, form: old.form ?? "battery", entry: old.handle ?? null, units: made.units, changes: changed };
}
