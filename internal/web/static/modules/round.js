// The round with modules: every form's entries go into the outbox first, so
// that a tap counts with and without reception, and the page stays in place.
import { add, attempt, hurry, outbox, undo } from "./outbox.js";
import { forgetAnswered } from "./outbox-store.js";
import { start } from "./offline.js";
import { forgetSent } from "./drafts.js";
import { entriesOf, rainOf, Wrong } from "./round-entry.js";
import { isKept, refresh } from "./round-refresh.js";
import { show } from "./round-state.js";

const jobs = () => document.getElementById("jobs");
const said = () => ({ measures: JSON.parse(jobs().dataset.measures), by: jobs().dataset.by });

document.addEventListener("submit", (event) => {
  const form = event.target;
  const take = form.matches("form.job") ? takeJob
    : form.matches('form[action="/round/rain"]') ? takeRain
    : form.matches("form[data-undo]") ? takeBack : null;
  if (!take || form.dataset.plain) return;
  event.preventDefault();
  take(form, event.submitter ?? form.querySelector("button")).catch((problem) => {
    if (problem instanceof Wrong) complain(form, problem);
    else sendPlainly(form, event.submitter); // nothing can be kept here: send it as any form
  });
});

async function takeJob(form, button) {
  clearComplaints(form);
  const { entries, job, words } = entriesOf(form, button, said());
  // What was pressed is about to be hidden: the keyboard waits at the job.
  form.tabIndex = -1;
  if (form.contains(document.activeElement)) form.focus({ preventScroll: true });
  await add(entries, { job, words });
  form.querySelectorAll("details[open]").forEach((details) => { details.open = false; });
  form.reset();
}

async function takeRain(form, button) {
  clearComplaints(form);
  const words = form.elements.mm.value.trim();
  await add(rainOf(form, button, said()), { words });
  form.reset();
  form.closest("details").open = false;
}

const undone = new Set(); // jobs that were answered before this page was made

async function takeBack(form) {
  const sent = new FormData(form);
  undone.add(form.dataset.job ?? "");
  await undo(sent.getAll("entry"), { plant: sent.get("plant") ?? "", job: form.dataset.job ?? "", by: said().by });
}

function complain(form, { field, message }) {
  const input = form.elements[field];
  const line = document.createElement("p");
  line.className = "error";
  line.id = "wrong-" + form.id;
  line.setAttribute("role", "alert");
  line.textContent = message;
  if (!(input instanceof HTMLElement)) {
    form.append(line);
    return;
  }
  (input.closest("label") ?? input).after(line);
  input.setAttribute("aria-invalid", "true");
  input.setAttribute("aria-describedby", line.id);
  const details = input.closest("details");
  if (details) details.open = true;
  input.focus();
}

function clearComplaints(form) {
  form.querySelectorAll(".error").forEach((line) => line.remove());
  form.querySelectorAll("[aria-invalid]").forEach((input) => input.removeAttribute("aria-invalid"));
}

function sendPlainly(form, button) {
  form.dataset.plain = "yes";
  form.requestSubmit(button);
}

const bringUpToDate = () => show(said().by).catch(() => {});

let refreshing = false;
let again;

// soon is when to look again, if the page on show is not the last word: a kept
// one, or one for which plants are still being worked out.
function soon(waitMS) {
  clearTimeout(again);
  if (isKept()) again = setTimeout(freshen, waitMS);
  else if (document.getElementById("pending")) again = setTimeout(freshen, 5000);
}

// freshen refreshes after something was sent, and as long as there is more to
// come.
async function freshen() {
  if (refreshing) return;
  refreshing = true;
  await refresh(undone, isKept() || document.getElementById("pending") !== null);
  refreshing = false;
  await bringUpToDate();
  soon(20_000);
}

outbox.addEventListener("change", async (event) => {
  await bringUpToDate();
  if (event.detail.sent > 0) await freshen();
});

window.addEventListener("online", () => { hurry(); if (isKept()) freshen(); });
window.addEventListener("pageshow", (event) => { if (event.persisted) hurry(); });
document.addEventListener("visibilitychange", () => { if (!document.hidden) hurry(); });

// A page fresh from the server knows everything that was sent.
if (!isKept()) await forgetAnswered().catch(() => {});
soon(5000);
await bringUpToDate();
jobs().dataset.ready = "yes"; // from here on a tap counts without reception
forgetSent(); // a picture taken for a job comes back to here
attempt();
start();
