// Copies of pages. Each is kept under the language and units that it states itself, so that none is taken for a page in
// others, however late it came. And what was changed when: a copy can be from before that.
import { edit, read } from "./store.js";

const COPIES = "pages ";
const SPOKEN = "Thriftloom-Spoken";
const KEPT_AT = "Thriftloom-Kept-At";
const NOW = "spoken";
const CHANGES = "changes";
const EVERYTHING = "";
const SCOPE = /^\/((?:jobs|plans)\/[0-9a-z]{26})(?:\/|$)/;
const OF_SEVERAL = ["/", "/compare"];
const MOST_CHANGES = 100;

/** Language and units of an answer; null where it is not one of our pages. */
export const spokenIn = (answer) => answer.headers.get(SPOKEN);

/** The copies in some language and units. */
export const copiesIn = (spoken) => caches.open(COPIES + spoken);

/** Keep an answer that was asked for at some time as the copy of an address, or that this leads elsewhere. */
export async function keepCopy(address, answer, askedAt, go = "") {
  if (spokenIn(answer)) await putCopy(await copiesIn(spokenIn(answer)), address, answer, askedAt, go);
}

/** Put an answer into a cache, unless what is there was asked for later. */
export async function putCopy(cache, address, answer, askedAt, go = "") {
  const there = await cache.match(address, { ignoreVary: true });
  if (there && isBetween(askedAt, keptAt(there))) return;
  const headers = { "Content-Type": "text/html", [KEPT_AT]: new Date(askedAt).toISOString(), ...(go && { "Thriftloom-Go": go }) };
  await cache.put(address, new Response(go ? null : await answer.blob(), { headers }));
}

/** When a copy was asked for. */
export const keptAt = (copy) => Date.parse(copy.headers.get(KEPT_AT));

/** After `begin`, and not in the future: clocks are set back. */
const isBetween = (begin, moment) => moment > begin && moment <= Date.now();

/** Take copies off this device, all but those of some language and units. */
export async function dropCopies(spoken) {
  for (const name of (await self.caches?.keys()) ?? []) if (name.startsWith(COPIES) && name !== COPIES + spoken) await caches.delete(name);
}

/** An answer was heard: what was asked for last tells in which language and units this device reads. */
export const noteSpoken = (spoken, askedAt) => edit(NOW, (known) => (known?.spoken === spoken || (known && isBetween(askedAt, known.at)) ? known : { spoken, at: askedAt }));

/** In which language and units this device reads now. */
export async function spokenNow() {
  const known = await read(NOW);
  if (known) return known.spoken;
  const only = (await caches.keys()).filter((name) => name.startsWith(COPIES));
  return only.length === 1 ? only[0].slice(COPIES.length) : undefined;
}

/** The server has just changed what these addresses are about; any other address stands for everything. */
export const noteChanges = (...addresses) => edit(CHANGES, (known = {}) => lastChanges({ ...known, ...Object.fromEntries(addresses.map((each) => [scopeOf(each), Date.now()])) }));

const scopeOf = (path) => path.match(SCOPE)?.[1] ?? EVERYTHING;
const lastChanges = (known) => Object.fromEntries(Object.entries(known).sort(([, one], [, other]) => one - other).slice(-MOST_CHANGES));

/** When something on a page was last changed from here. The list of jobs and plans side by side tell of several jobs. */
export async function changedAt(path) {
  const known = (await read(CHANGES)) ?? {};
  const scope = scopeOf(path);
  const times = OF_SEVERAL.includes(path) ? Object.values(known) : [known[EVERYTHING], scope && known[scope]];
  return Math.max(0, ...times.filter((each) => each && each <= Date.now()));
}
