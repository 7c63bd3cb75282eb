// The outbox: entries are kept on the device first and sent then. An entry
// leaves the outbox only when the server's answer names it as taken; sent twice,
// it is still one entry there, because its id was made here.
import { newID, localTime } from "./outbox-id.js";
import * as store from "./outbox-store.js";

const batch = 50;
const shortestWaitMS = 2000;
const longestWaitMS = 60_000;

export const outbox = new EventTarget(); // "change": something was added, sent or refused

// state is what the last attempt met: "", "reception", "sign-in" or "server".
export const state = { trouble: "" };

let timer;
let waitMS = shortestWaitMS;

// add keeps entries that belong together; it returns once they are safe. The
// first of them answers the job.
export async function add(entries, { job = "", words = "" } = {}) {
  const group = entries.map((entry) => entry.id);
  await store.put(entries.map((entry, i) => ({ id: entry.id, entry, job, words, group, head: i === 0, tried: false, refused: "" })));
  changed();
  attempt();
}

// undo takes back entries. Those that never left the device simply go; what may
// have arrived is withdrawn.
export async function undo(ids, { plant = "", job = "", by = "" } = {}) {
  await alone(async () => {
    const here = (await store.waiting()).filter((item) => ids.includes(item.id));
    const untried = here.filter((item) => !item.tried).map((item) => item.id);
    await store.remove(untried);
    const rest = ids.filter((id) => !untried.includes(id));
    await store.put(rest.map((corrects) => {
      const entry = { id: newID(), at: localTime(), kind: "withdraw", corrects };
      if (plant) entry.plant = plant;
      if (by) entry.by = by;
      return { id: entry.id, entry, job, words: "undone", group: [entry.id], head: false, tried: false, refused: "" };
    }));
  });
  changed();
  attempt();
}

// retry puts a refused entry back among those to be sent.
export async function retry(id) {
  await store.put((await store.waiting()).filter((item) => item.id === id).map((item) => ({ ...item, refused: "" })));
  changed();
  attempt();
}

export async function discard(id) {
  await store.remove([id]);
  changed();
}

// attempt sends now, and again later as long as something waits.
export async function attempt() {
  clearTimeout(timer);
  const sent = await alone(sendAll).catch(() => 0);
  // An outbox that cannot be read now may hold something.
  const left = await store.waiting().then((items) => items.filter((item) => !item.refused).length, () => 1);
  waitMS = sent > 0 || left === 0 ? shortestWaitMS : Math.min(2 * waitMS, longestWaitMS);
  if (left > 0 && state.trouble !== "sign-in") timer = setTimeout(attempt, waitMS);
  changed(sent);
  return sent;
}

// hurry is for when the network is said to be back.
export function hurry() {
  waitMS = shortestWaitMS;
  return attempt();
}

function changed(sent = 0) {
  outbox.dispatchEvent(new CustomEvent("change", { detail: { sent } }));
}

// alone lets one tab at a time send or take back. Without locks, on plain HTTP,
// at least this page does one thing at a time; the ids guard the rest.
let last = Promise.resolve();
function alone(f) {
  if (navigator.locks) return navigator.locks.request("velamen-outbox", f);
  const next = last.then(f, f);
  last = next.catch(() => {});
  return next;
}

async function sendAll() {
  let sent = 0;
  const list = (await store.waiting()).filter((item) => !item.refused);
  state.trouble = "";
  for (let i = 0; i < list.length; i += batch) {
    const part = list.slice(i, i + batch);
    let answer = await send(part);
    if (answer.refused && part.length > 1) {
      // One bad entry must not hold up the others.
      for (const item of part) {
        answer = await send([item]);
        sent += await settle([item], answer);
        if (answer.trouble) break;
      }
    } else {
      sent += await settle(part, answer);
    }
    if (answer.trouble) {
      state.trouble = answer.trouble;
      break;
    }
  }
  return sent;
}

async function settle(items, { taken, refused }) {
  if (refused) await store.put(items.map((item) => ({ ...item, tried: true, refused })));
  if (!taken) return 0;
  const here = items.filter((item) => taken.includes(item.id));
  await store.confirm(here);
  return here.length;
}

async function send(items) {
  await store.put(items.map((item) => ({ ...item, tried: true })));
  let response;
  try {
    response = await fetch("/entries", {
      method: "POST",
      headers: { "Content-Type": "application/json", Accept: "application/json" },
      body: JSON.stringify({ entries: items.map((item) => item.entry) }),
      signal: AbortSignal.timeout(20_000),
    });
    if (response.ok) return { taken: (await response.json()).taken ?? [] };
  } catch {
    return { trouble: "reception" };
  }
  if (response.status === 401) return { trouble: "sign-in" };
  if (![400, 409, 413, 422].includes(response.status)) return { trouble: "server" };
  const problem = await response.json().catch(() => ({}));
  const fields = (problem.errors ?? []).map((e) => `${e.field} ${e.message}`).join("; ");
  return { refused: fields || problem.detail || problem.title || "The server does not take it." };
}
