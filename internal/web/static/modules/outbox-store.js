// Where entries wait on this device: IndexedDB, which outlasts reloads, closed
// browsers and empty batteries, and which exists on plain HTTP too.
//
// "outbox" holds what the server has not confirmed. "answered" holds jobs whose
// answer was confirmed since the page on show was made, so that a page kept
// for times without reception does not ask them again.

let opened;

function open() {
  opened ??= new Promise((resolve, reject) => {
    const request = indexedDB.open("velamen", 1);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("outbox", { keyPath: "id" });
      request.result.createObjectStore("answered", { keyPath: "job" });
    };
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
    request.onblocked = () => reject(new Error("the outbox is blocked by another tab"));
  });
  opened.catch(() => { opened = undefined; });
  return opened;
}

// change runs f over both stores and returns once everything is on the disk.
async function change(f) {
  const db = await open();
  return new Promise((resolve, reject) => {
    const transaction = db.transaction(["outbox", "answered"], "readwrite", { durability: "strict" });
    transaction.oncomplete = () => resolve();
    transaction.onerror = () => reject(transaction.error);
    transaction.onabort = () => reject(transaction.error ?? new Error("the outbox is full"));
    f(transaction.objectStore("outbox"), transaction.objectStore("answered"));
  });
}

async function all(store) {
  const db = await open();
  return new Promise((resolve, reject) => {
    const request = db.transaction(store).objectStore(store).getAll();
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

// waiting returns what is in the outbox, in the order in which it was entered.
export const waiting = () => all("outbox");

export const answered = () => all("answered");

export const put = (items) => change((outbox) => items.forEach((item) => outbox.put(item)));

export const remove = (ids) => change((outbox) => ids.forEach((id) => outbox.delete(id)));

// confirm takes out what the server has, and remembers which jobs it answered
// or opened again.
export const confirm = (items) => change((outbox, jobs) => {
  for (const item of items) {
    outbox.delete(item.id);
    if (!item.job) continue;
    if (item.entry.kind === "withdraw") jobs.delete(item.job);
    else if (item.head) jobs.put({ job: item.job, at: item.entry.at, words: item.words, entries: item.group, plant: item.entry.plant });
  }
});

export const forgetAnswered = () => change((_, jobs) => jobs.clear());
