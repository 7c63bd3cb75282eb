// Brings parts of the round up to date from the server, without moving the jobs
// under the thumb.
import { keepCopy } from "./offline.js";
import { forgetAnswered } from "./outbox-store.js";

// isKept reports whether the page on show was kept for times without reception.
export const isKept = () => document.querySelector(".kept[data-kept]") !== null;

// here is the address of what is on show, the whole round or one space's part,
// without what was just done.
function here() {
  const query = new URLSearchParams(location.search);
  query.delete("done");
  return query.size > 0 ? `/?${query}` : "/";
}

// refresh fetches the round. The sums and what was done are replaced. The jobs
// stay where they are, unless one was answered elsewhere, one that was undone is
// missing here, or all that is new is wanted; and never while somebody is typing.
export async function refresh(undone = new Set(), all = false) {
  let answer;
  try {
    answer = await fetch(here(), { headers: { Accept: "text/html" }, signal: AbortSignal.timeout(20_000) });
  } catch {
    return false;
  }
  if (!answer.ok || answer.redirected) return false;
  await keepCopy(here(), answer.clone());
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  const changed = otherJobs(fresh, undone, all);
  for (const id of ["tallies", "done"]) swap(id, fresh);
  const rain = document.querySelector("#rain details");
  swap("rain", fresh);
  if (rain?.open) document.querySelector("#rain details").open = true;
  if (changed && !document.querySelector("#jobs details[open]")) {
    swap("jobs", fresh);
    swapReasons(fresh);
    await forgetAnswered();
  }
  if (!changed || !document.querySelector("#jobs details[open]")) document.querySelector(".kept[data-kept]")?.remove();
  return true;
}

// otherJobs reports whether the jobs have to be replaced. Of a long round only the
// first jobs are shown: that others follow is a reason once all these are done.
function otherJobs(fresh, undone, all) {
  const there = [...fresh.querySelectorAll("form.job")];
  const here = [...document.querySelectorAll("form.job")];
  const ids = new Set(there.map((form) => form.id));
  const shown = new Set(here.map((form) => form.id));
  const open = here.filter((form) => !form.classList.contains("answered"));
  return open.some((form) => !ids.has(form.id)) ||
    there.some((form) => !shown.has(form.id) && (all || open.length === 0 || undone.has(form.elements.job.value)));
}

function swap(id, fresh) {
  const now = document.getElementById(id);
  const next = fresh.getElementById(id);
  if (now && next) now.replaceWith(document.adoptNode(next));
}

function swapReasons(fresh) {
  document.querySelectorAll(".why[popover]").forEach((one) => one.remove());
  document.getElementById("main").append(...[...fresh.querySelectorAll(".why[popover]")].map((one) => document.adoptNode(one)));
}
