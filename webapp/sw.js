// What to keep. VERSION and SHELL are put before this by the server, the outbox modules too.
const PAGES = "pages";
const shellName = `shell-${VERSION}`;
const LATE_MS = 3000;
const DOWN_MS = 15_000;
const KEEP = { "Thriftloom-Keep": "1" };
const NEVER = /\.json$|^\/(api|ping|sync|healthz|sw\.js|reset-app)(\/|$)/;
const STEP = /^\/jobs\/([0-9a-z]{26})(\/.*)?$/;
const FILE = /^\/static\/[^/]+\//;
let downUntil = 0;
const keptPages = new Map(); // client to when its page was fetched

// How to answer.

async function fillShell() {
  const cache = await caches.open(shellName);
  try {
    await cache.addAll(SHELL.map((address) => new Request(address, { headers: KEEP, cache: "no-cache" })));
  } catch (trouble) {
    await caches.delete(shellName);
    throw trouble; // all of it or nothing: the browser tries again
  }
}

/** One older shell stays for pages that still show it. */
async function dropOldShells() {
  const older = (await caches.keys()).filter((name) => name.startsWith("shell-") && name !== shellName);
  await Promise.all(older.slice(0, -1).map((name) => caches.delete(name)));
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

/** A page that was kept long ago names a file that is gone: the file of today serves it. */
async function sameFileOfNow(address) {
  const wanted = new URL(address).pathname.replace(FILE, "");
  const found = SHELL.find((each) => FILE.test(each) && each.replace(FILE, "") === wanted);
  return found && fromShell(found);
}

async function page(event) {
  const { request } = event;
  const copy = await keptPage(request.url);
  if (copy && Date.now() < downUntil) {
    event.waitUntil(network(request).catch(() => {}));
    return shown(event, copy);
  }
  const answer = network(request);
  event.waitUntil(answer.catch(() => {}));
  try {
    return await (copy ? inTime(answer) : answer);
  } catch {
    return copy ? shown(event, copy) : stead(event, request);
  }
}

/** The answer, or an error where the server is late: then it is left alone for a while. */
function inTime(answer) {
  let timer;
  const late = new Promise((_, reject) => {
    timer = setTimeout(() => {
      downUntil = Date.now() + DOWN_MS;
      reject(new Error("late"));
    }, LATE_MS);
  });
  return Promise.race([answer, late]).finally(() => clearTimeout(timer));
}

async function network(request) {
  let answer;
  try {
    answer = await fetch(request);
  } catch (trouble) {
    downUntil = Date.now() + DOWN_MS;
    throw trouble;
  }
  if ([502, 503, 504].includes(answer.status) && !answer.headers.has("Content-Security-Policy")) throw new Error("no server behind");
  downUntil = 0;
  await keepAnswer(request.url, answer).catch(() => {}); // no room: the page itself is there
  return answer;
}

async function keepAnswer(address, answer) {
  const cache = await caches.open(PAGES);
  if (answer.status === 404 || answer.status === 410) await cache.delete(address);
  if (answer.status !== 200 || answer.type !== "basic" || !answer.headers.get("Content-Type")?.startsWith("text/html")) return;
  const headers = { "Content-Type": "text/html", "Thriftloom-Kept-At": new Date().toISOString() };
  await cache.put(plain(address), new Response(await answer.clone().blob(), { headers }));
}

/** Where one came from makes no other page. */
function plain(address) {
  const url = new URL(address);
  url.hash = "";
  for (const name of ["from", "where"]) url.searchParams.delete(name);
  return url.href;
}

async function keptPage(address) {
  const cache = await caches.open(PAGES);
  return cache.match(plain(address), { ignoreVary: true });
}

async function shown(event, copy) {
  const go = copy.headers.get("Thriftloom-Go");
  if (go) return Response.redirect(go);
  keptPages.set(event.resultingClientId, copy.headers.get("Thriftloom-Kept-At") ?? new Date(copy.headers.get("Date")).toISOString());
  return withPolicy(copy);
}

/** A page of the shell in the place of one that is not here: a job begun here has blank pages, all else the offline page. */
async function stead(event, request) {
  const { pathname, search } = new URL(request.url);
  const [, job, rest] = pathname.match(STEP) ?? [];
  const isKept = job && (await keptPage(new URL(`/jobs/${job}/battery`, location).href));
  const isOnOffer = rest === "/owned" && search; // parts of a kind: the same for every job
  if (job && (isKept ? isOnOffer : (await all(job)).length)) {
    if (!rest) return Response.redirect(`/jobs/${job}/places`);
    const address = `/blank${rest}${rest === "/owned" ? search : ""}`;
    const blank = (await keptPage(new URL(address, location).href)) ?? (await fromShell(address));
    if (blank) return shown(event, blank);
  }
  const near = search && (await (await caches.open(PAGES)).match(plain(request.url), { ignoreSearch: true, ignoreVary: true }));
  return shown(event, near || (await fromShell(pathname)) || (await fromShell("/offline")) || Response.error());
}

/** Copies made by a page carry no headers of ours. */
function withPolicy(copy) {
  const headers = new Headers(copy.headers);
  for (const [name, value] of Object.entries(POLICY)) headers.set(name, value);
  return new Response(copy.body, { headers });
}

async function sentForm(request) {
  try {
    return await fetch(request);
  } catch {
    return withPolicy(await fromShell("/offline/sent"));
  }
}

// When.

self.addEventListener("install", (event) => event.waitUntil(fillShell()));
self.addEventListener("activate", (event) => event.waitUntil(dropOldShells().then(() => self.clients.claim())));
self.addEventListener("sync", (event) => event.waitUntil(send()));
self.addEventListener("message", (event) => {
  if (event.data === "use-now") self.skipWaiting();
  if (event.data === "reached") downUntil = 0;
  if (event.data === "kept-at") event.ports[0].postMessage(keptPages.get(event.source.id) ?? null);
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== location.origin || NEVER.test(url.pathname)) return;
  if (request.mode === "navigate") event.respondWith(request.method === "GET" ? page(event) : sentForm(request));
  else if (request.method === "GET" && (FILE.test(url.pathname) || SHELL.includes(url.pathname))) event.respondWith(file(request));
});
