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

// refresh fetches the round. The sums and what was done are replaced; the jobs
// only if others are open now, and nobody is typing. It returns whether there
// was an answer.
export async function refresh() {
  let answer;
  try {
    answer = await fetch(here(), { headers: { Accept: "text/html" }, signal: AbortSignal.timeout(20_000) });
  } catch {
    return false;
  }
  if (!answer.ok || answer.redirected) return false;
  await keepCopy(here(), answer.clone());
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  const changed = otherJobs(fresh);
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

// otherJobs reports whether a job is open that this page does not show, or one
// that it shows as open was answered elsewhere.
function otherJobs(fresh) {
  const there = new Set([...fresh.querySelectorAll("form.job")].map((form) => form.id));
  const here = [...document.querySelectorAll("form.job")];
  const shown = new Set(here.map((form) => form.id));
  return [...there].some((id) => !shown.has(id)) ||
    here.some((form) => !there.has(form.id) && !form.classList.contains("answered"));
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
