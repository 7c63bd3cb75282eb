// Where entries wait on this device: IndexedDB, which outlasts reloads, closed
// browsers and empty batteries, and which exists on plain HTTP too.
//
// "outbox" holds what the server has not confirmed. "answered" holds jobs whose
// answer was confirmed since the page on show was made, so that a page kept
// for times without reception does not ask them again.

// A page that was left while its database was being opened is kept frozen by
// some browsers, and the next page then waits for it without end. Nobody should
// wait with a wet hand: after this the form is sent as any form.
const patienceMS = 3000;

let opened;

function open() {
  opened ??= new Promise((resolve, reject) => {
    const request = indexedDB.open("velamen", 1);
    const giveUp = setTimeout(() => reject(new Error("the outbox does not open")), patienceMS);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("outbox", { keyPath: "id" });
      request.result.createObjectStore("answered", { keyPath: "job" });
    };
    request.onsuccess = () => {
      clearTimeout(giveUp);
      request.result.onversionchange = () => { request.result.close(); opened = undefined; };
      resolve(request.result);
    };
    request.onerror = () => reject(request.error);
    request.onblocked = () => reject(new Error("the outbox is blocked by another tab"));
  });
  opened.catch(() => { opened = undefined; });
  return opened;
}

// inTransaction runs f and returns once it is over: what f wrote is on the disk
// then, or was not written at all. While it lasts a lock keeps the page from
// being frozen in the middle.
function inTransaction(mode, f) {
  const run = async () => {
    const db = await open();
    return new Promise((resolve, reject) => {
      const transaction = db.transaction(["outbox", "answered"], mode, { durability: "strict" });
      const giveUp = setTimeout(() => transaction.abort(), patienceMS);
      const result = f(transaction.objectStore("outbox"), transaction.objectStore("answered"));
      transaction.oncomplete = () => { clearTimeout(giveUp); resolve(result?.result); };
      transaction.onabort = () => { clearTimeout(giveUp); reject(transaction.error ?? new Error("the outbox does not answer")); };
    });
  };
  return navigator.locks ? navigator.locks.request("velamen-store", { mode: "shared" }, run) : run();
}

const change = (f) => inTransaction("readwrite", (...stores) => { f(...stores); });

// waiting returns what is in the outbox, in the order in which it was entered.
export const waiting = () => inTransaction("readonly", (outbox) => outbox.getAll());

export const answered = () => inTransaction("readonly", (_, jobs) => jobs.getAll());

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
