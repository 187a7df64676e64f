// What this device remembers: values by name in one IndexedDB. Opened once more where the browser has lost it, as iOS does;
// where it cannot be had at all, sessionStorage holds the values as long as the page lives.
const DATABASE = "thriftloom";
const STORE = "kept";
const PATIENCE_MS = 3000;
const PREFIX = "kept:";
let opened;
const CAN_BE_HAD_AGAIN = "pages "; // caches
const seen = new Map(); // as the database had it last
let broken = false;
let passing = false;
const WORK_MS = 5000;

/** Whether values outlive this page. */
export const isLasting = () => !broken;

/** Whether values go with this page: not even sessionStorage takes them. */
export const isPassing = () => passing;

/** The value of that name, undefined if there is none. */
export const read = (name) => edit(name, (value) => value);

/** Change a value in one step that nobody else comes between; `change` gets the old value and returns the new one. */
export async function edit(name, change) {
  if (!broken) {
    for (const attempt of [1, 2]) {
      try {
        return await inDatabase(name, change);
      } catch (trouble) {
        opened = undefined;
        if (trouble?.name === "QuotaExceededError") await makeRoom();
        if (attempt === 2) broken = true;
      }
    }
  }
  return inSession(name, change);
}

async function makeRoom() {
  try {
    for (const name of (await self.caches?.keys()) ?? []) if (name.startsWith(CAN_BE_HAD_AGAIN)) await caches.delete(name);
  } catch {
    // not allowed: there are none
  }
}

async function inDatabase(name, change) {
  const database = await open();
  return new Promise((resolve, reject) => {
    const work = database.transaction(STORE, "readwrite", { durability: "strict" });
    const store = work.objectStore(STORE);
    let after;
    store.get(name).onsuccess = (event) => {
      const before = event.target.result;
      seen.set(name, before);
      after = change(before);
      if (after !== before) store.put(after, name);
    };
    work.oncomplete = () => resolve(after);
    work.onabort = () => reject(work.error);
    setTimeout(() => stop(work, reject), WORK_MS); // nor may this
  });
}

function stop(work, reject) {
  try {
    work.abort();
  } catch {
    return; // it is done
  }
  reject(new Error("no answer"));
}

function open() {
  opened ??= new Promise((resolve, reject) => {
    setTimeout(() => reject(new Error("no answer")), PATIENCE_MS); // it may never answer
    const asked = indexedDB.open(DATABASE, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE);
    asked.onerror = () => reject(asked.error);
    asked.onsuccess = () => {
      const database = asked.result;
      const close = () => {
        database.close();
        opened = undefined;
      };
      Object.assign(database, { onclose: close, onversionchange: close });
      resolve(database);
    };
  });
  return opened;
}

const memory = new Map();

function inSession(name, change) {
  const before = memory.has(name) ? memory.get(name) : (fromSession(name) ?? seen.get(name));
  const after = change(before);
  memory.set(name, after);
  try {
    if (after !== before) sessionStorage.setItem(PREFIX + name, JSON.stringify(after));
  } catch {
    passing = true; // private windows and workers have none: the value lives as long as the page
  }
  return after;
}

function fromSession(name) {
  try {
    return JSON.parse(sessionStorage.getItem(PREFIX + name)) ?? undefined;
  } catch {
    return undefined;
  }
}

/** Take over a list that had to go into sessionStorage before. Whether there was one. */
export async function adopt(name) {
  const left = fromSession(name);
  if (!left?.length) return false;
  const isIn = (list, { body }) => list.some((each) => each.body.op_id === body.op_id);
  await edit(name, (list = []) => [...list, ...left.filter((each) => !isIn(list, each))]);
  if (!broken) sessionStorage.removeItem(PREFIX + name);
  return true;
}
