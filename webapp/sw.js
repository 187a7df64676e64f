// What to keep. VERSION and SHELL are put before this by the server, the outbox modules too.
const shellName = `shell-${VERSION}`;
const wordsIn = (spoken) => `words-${VERSION} ${spoken}`; // pages of the shell
const LATE_MS = 3000;
const PATIENT_MS = 15_000; // where the copy is from before something was changed here
const DOWN_MS = 15_000;
const SIGN_IN = [401, 403, 407, 511];
const KEEP = { "Thriftloom-Keep": "1" };
const NEVER = /\.json$|^\/(api|ping|sync|healthz|sw\.js|reset-app)(\/|$)/;
const STEP = /^\/jobs\/([0-9a-z]{26})(\/.*)?$/;
const FILE = /^\/static\/[^/]+\//;
const FILES = SHELL.filter((address) => FILE.test(address) || address.endsWith(".webmanifest"));
const WORDS = SHELL.filter((address) => !FILES.includes(address));
let downUntil = 0;
let complete = ""; // the language and units in which all pages of the shell are here
const shownCopies = new Map(); // client to {at, changed, isBefore, isOver} of the copy it shows
const asked = new Map(); // client to when its page was asked for

// How to answer.

async function fillShell() {
  const cache = await caches.open(shellName);
  const begun = Date.now();
  try {
    await cache.addAll(FILES.map((address) => new Request(address, { headers: KEEP, cache: "no-cache" })));
    for (const spoken of await Promise.all(WORDS.map(keepWords))) await noteSpoken(spoken, begun);
  } catch (trouble) {
    await caches.delete(shellName);
    throw trouble; // all of it or nothing: the browser tries again
  }
}

/** Fetch a page of the shell and keep it under the language and units that it states, which are returned. */
async function keepWords(address) {
  const begun = Date.now();
  const answer = await fetch(address, { headers: KEEP, cache: "no-cache" });
  const spoken = spokenIn(answer);
  if (!answer.ok || !spoken) throw new Error(`not there: ${address}`);
  await putCopy(await caches.open(wordsIn(spoken)), address, answer, begun);
  return spoken;
}

/** Fetch what the shell lacks in the language and units of now, and drop all copies in others. Tried again until it is there. */
async function completeWords() {
  const spoken = await spokenNow();
  if (!spoken || complete === spoken) return;
  complete = spoken;
  try {
    const cache = await caches.open(wordsIn(spoken));
    const here = (await cache.keys()).map(({ url }) => url.slice(location.origin.length));
    await Promise.all(WORDS.filter((address) => !here.includes(address)).map(keepWords));
    await dropCopies(spoken);
    for (const name of await caches.keys()) if (name.startsWith(`words-${VERSION} `) && name !== wordsIn(spoken)) await caches.delete(name);
  } catch {
    complete = "";
  }
}

/** One older shell stays for pages that still show it. */
async function dropOldShells() {
  const names = await caches.keys();
  const older = names.filter((name) => name.startsWith("shell-") && name !== shellName);
  const others = names.filter((name) => name === "pages" || (name.startsWith("words-") && !name.startsWith(wordsIn(""))));
  await Promise.all([...older.slice(0, -1), ...others].map((name) => caches.delete(name)));
}

async function file(request) {
  const kept = await fromShell(request.url);
  if (kept) return kept;
  return fetch(request).catch(async () => (await sameFileOfNow(request.url)) ?? Response.error());
}

async function fromShell(address) {
  const now = await (await caches.open(shellName)).match(address, { ignoreVary: true });
  return now ?? caches.match(address, { ignoreVary: true });
}

/** A page of the shell, in the language and units of now. */
async function fromWords(address) {
  return (await caches.open(wordsIn(await spokenNow()))).match(address, { ignoreVary: true });
}

/** A few words that there is no signal are better in any language than none. */
const plainWords = async (address) => (await fromWords(address)) ?? fromShell(address);

/** A page that was kept long ago names a file that is gone: the file of today serves it. */
async function sameFileOfNow(address) {
  const wanted = new URL(address).pathname.replace(FILE, "");
  const found = SHELL.find((each) => FILE.test(each) && each.replace(FILE, "") === wanted);
  return found && fromShell(found);
}

async function page(event) {
  const { request } = event;
  asked.set(event.resultingClientId, Date.now());
  const answer = network(event);
  event.waitUntil(answer.then(completeWords).catch(() => {}));
  const kept = keptPage(request.url);
  const lastChange = changedAt(new URL(request.url).pathname);
  const newer = answer.then(throwIfBusy);
  const copy = await Promise.race([kept, newer.then(() => null, () => kept)]); // a database that hangs keeps no page back
  if (!copy) return answer.catch(async () => stead(event, request, await lastChange));
  const changed = await lastChange;
  const isBefore = keptAt(copy) < changed;
  try {
    return await inTime(newer, isBefore, changed);
  } catch {
    event.waitUntil(newer.then(() => isOver(event.resultingClientId)).catch(() => {}));
    return shown(event, copy, changed, isBefore);
  }
}

/** The answer, or an error where the server is late, or was silent a moment ago: then it is left alone for a while. */
function inTime(answer, isBefore, changed) {
  const isDown = Date.now() < downUntil && downUntil - DOWN_MS > changed;
  let timer;
  const late = new Promise((_, reject) => {
    timer = setTimeout(() => {
      if (!isDown) downUntil = Date.now() + DOWN_MS;
      reject(new Error("late"));
    }, isDown ? 0 : isBefore ? PATIENT_MS : LATE_MS);
  });
  return Promise.race([answer, late]).finally(() => clearTimeout(timer));
}

/** The page that a copy stood in for is here now. */
async function isOver(client) {
  const copy = shownCopies.get(client);
  if (copy) copy.isOver = true;
  (await self.clients.get(client))?.postMessage("newer");
}

async function network(event) {
  const begun = Date.now();
  let answer;
  try {
    answer = await fetch(event.request);
  } catch (trouble) {
    downUntil = Date.now() + DOWN_MS;
    throw trouble;
  }
  if (isOfOthers(answer)) throw new Error("no server behind");
  downUntil = 0;
  if ([404, 503].includes(answer.status) && (await isBegunHere(event.request.url))) throw new Error("not sent yet");
  const spoken = spokenIn(answer);
  if (spoken) event.waitUntil(noteSpoken(spoken, begun));
  await keepAnswer(event.request.url, answer, begun).catch(throwIfCut);
  return answer;
}

/** No page of ours, nor a way to sign in to the network. */
const isOfOthers = ({ status, headers }) => status >= 400 && !SIGN_IN.includes(status) && !headers.has("Content-Security-Policy");

/** Whether it is of a job that the server does not know yet. */
async function isBegunHere(address) {
  const [, job] = new URL(address).pathname.match(STEP) ?? [];
  return Boolean(job) && (await all(job)).some(({ body }) => body.kind === "start");
}

/** A server that cannot do it just now has no page: what is kept is better. */
function throwIfBusy(answer) {
  if (answer.status === 503) throw new Error("busy");
  return answer;
}

/** A page cut short is none; where there was no room to keep it, the page itself is there. */
function throwIfCut(trouble) {
  if (trouble instanceof TypeError) throw trouble;
}

async function keepAnswer(address, answer, begun) {
  if (answer.status === 404 || answer.status === 410) await (await copiesIn(await spokenNow())).delete(address);
  if (answer.status !== 200 || answer.type !== "basic" || !answer.headers.get("Content-Type")?.startsWith("text/html")) return;
  await keepCopy(plain(address), answer.clone(), begun);
}

/** Where one came from makes no other page. */
function plain(address) {
  const url = new URL(address);
  url.hash = "";
  for (const name of ["from", "where"]) url.searchParams.delete(name);
  return url.href;
}

async function keptPage(address) {
  const spoken = await spokenNow();
  return spoken && (await copiesIn(spoken)).match(plain(address), { ignoreVary: true });
}

async function shown(event, copy, changed, isBefore = false) {
  const go = copy.headers.get("Thriftloom-Go");
  if (go) return Response.redirect(go);
  const at = new Date(keptAt(copy)).toISOString();
  shownCopies.set(event.resultingClientId, { at, changed, isBefore, isOver: false });
  return withPolicy(copy);
}

/** A page of the shell in the place of one that is not here: a job begun here has blank pages, all else the offline page. */
async function stead(event, request, changed) {
  const { pathname, search } = new URL(request.url);
  const [, job, rest] = pathname.match(STEP) ?? [];
  const isKept = job && (await keptPage(new URL(`/jobs/${job}/battery`, location).href));
  const isOnOffer = rest === "/owned" && search; // parts of a kind: the same for every job
  if (job && (isKept ? isOnOffer : (await all(job)).length)) {
    if (!rest) return Response.redirect(`/jobs/${job}/places`);
    const address = `/blank${rest}${rest === "/owned" ? search : ""}`;
    const blank = (await keptPage(new URL(address, location).href)) ?? (await fromWords(address));
    if (blank) return shown(event, blank, changed);
  }
  const isOther = pathname === "/compare"; // with other plans in its address it is another page
  const near = search && !isOther && (await (await copiesIn(await spokenNow())).match(plain(request.url), { ignoreSearch: true, ignoreVary: true }));
  return shown(event, near || (await fromWords(pathname)) || (await plainWords("/offline")), changed);
}

/** Copies made by a page carry no headers of ours. */
function withPolicy(copy) {
  const headers = new Headers(copy.headers);
  for (const [name, value] of Object.entries(POLICY)) headers.set(name, value);
  return new Response(copy.body, { headers });
}

async function sentForm(request) {
  try {
    const answer = await fetch(request);
    const { pathname } = new URL(request.url);
    if (answer.type === "opaqueredirect" && pathname !== "/settings/theme") await noteChanges(pathname); // it was taken
    return answer;
  } catch {
    return withPolicy(await plainWords("/offline/sent"));
  }
}

// When.

self.addEventListener("install", (event) => event.waitUntil(fillShell()));
self.addEventListener("activate", (event) => event.waitUntil(dropOldShells().then(() => self.clients.claim())));
self.addEventListener("sync", (event) => event.waitUntil(send()));
self.addEventListener("message", (event) => {
  if (event.data === "use-now") self.skipWaiting();
  if (event.data === "reached") downUntil = 0;
  if (event.data === "copy") event.ports[0].postMessage(shownCopies.get(event.source.id) ?? null);
  if (event.data === "asked") event.ports[0].postMessage(asked.get(event.source.id) ?? null);
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== location.origin || NEVER.test(url.pathname)) return;
  if (request.mode === "navigate") event.respondWith(request.method === "GET" ? page(event) : sentForm(request));
  else if (request.method === "GET" && (FILE.test(url.pathname) || FILES.includes(url.pathname))) event.respondWith(file(request));
});
