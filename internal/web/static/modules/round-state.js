// Shows on the round what is in the outbox: answered jobs struck through in
// their place, what waits, what was refused and why.
import { clock } from "./outbox-id.js";
import { waiting, answered } from "./outbox-store.js";
import { state, undo, retry, discard } from "./outbox.js";

// show brings the page in step with the outbox.
export async function show(by) {
  const items = await waiting();
  const jobs = new Map((await answered()).map((a) => [a.job, { ...a, unsent: false }]));
  for (const item of items) {
    if (!item.job) continue;
    if (item.entry.kind === "withdraw") jobs.delete(item.job);
    else if (item.head) jobs.set(item.job, { at: item.entry.at, words: item.words, entries: item.group, plant: item.entry.plant, unsent: true });
  }
  for (const form of document.querySelectorAll("form.job")) mark(form, jobs.get(form.elements.job.value), by);
  const taken = new Set(items.map((item) => item.entry.corrects));
  for (const form of document.querySelectorAll("form[data-undo]")) {
    const ids = new FormData(form).getAll("entry");
    if (ids.some((id) => taken.has(id))) form.replaceChildren(element("span", "unsent", "undone, not sent yet"));
  }
  showRain(items.filter((item) => item.entry.kind === "rain"), by);
  showOutbox(items);
}

function mark(form, answer, by) {
  const old = form.querySelector(".state");
  const here = form.contains(document.activeElement);
  const onUndo = here && old?.querySelector("button") === document.activeElement;
  form.classList.toggle("answered", Boolean(answer));
  if (!answer) {
    old?.remove();
    if (old && here) form.querySelector(".do button, .do summary, .do a")?.focus();
    return;
  }
  const line = element("p", "state");
  line.tabIndex = -1;
  line.append(element("span", "", `${answer.words} ${clock(answer.at)}`));
  if (answer.unsent) line.firstChild.append(element("span", "unsent", " · not sent yet"));
  line.append(button("Undo", () => undo(answer.entries, { plant: answer.plant, job: form.elements.job.value, by })));
  if (old) old.replaceWith(line);
  else form.append(line);
  // The button that was pressed is gone; whoever uses the keyboard or listens
  // goes on from here. Not from Undo: a key held down too long would press it.
  if (onUndo) line.lastChild.focus();
  else if (here) line.focus();
}

function showRain(items, by) {
  const rain = document.getElementById("rain");
  if (!rain) return;
  rain.querySelectorAll(".unsent-rain").forEach((line) => line.remove());
  for (const item of items) {
    const line = element("p", "state unsent-rain");
    line.append(element("span", "", `It rained ${item.words} ${clock(item.entry.at)}`), button("Undo", () => undo([item.id], { by })));
    line.firstChild.append(element("span", "unsent", " · not sent yet"));
    rain.append(line);
  }
}

function showOutbox(items) {
  const box = document.getElementById("outbox");
  if (!box) return;
  const refused = items.filter((item) => item.refused);
  const rest = items.length - refused.length;
  box.replaceChildren();
  if (rest > 0) box.append(waitingLine(rest));
  if (refused.length > 0) {
    const list = element("ul");
    for (const item of refused) {
      const line = element("li");
      const what = [item.job.split("/")[1], item.words].filter(Boolean).join(": ") || item.entry.kind;
      line.append(element("p", "", `Not taken, ${what}, ${clock(item.entry.at)}. ${item.refused}`));
      line.append(button("Try again", () => retry(item.id)), " ", button("Throw away", () => discard(item.id)));
      list.append(line);
    }
    box.append(list);
  }
  box.hidden = items.length === 0;
}

function waitingLine(count) {
  const entries = count === 1 ? "1 entry is" : `${count} entries are`;
  const line = element("p");
  if (state.trouble === "sign-in") {
    const link = element("a", "button", "Sign in to send");
    link.href = "/sign-in";
    line.append(`${entries} kept on this device. `, link);
  } else if (state.trouble === "server") {
    line.append(`${entries} kept on this device: the server has trouble. They are sent again by themselves.`);
  } else if (state.trouble === "reception") {
    line.append(`${entries} kept on this device until there is reception. Nothing is lost if you close this page.`);
  } else {
    line.append(`${entries} being sent.`);
  }
  return line;
}

function element(name, className = "", text = "") {
  const one = document.createElement(name);
  if (className) one.className = className;
  one.textContent = text;
  return one;
}

function button(text, act) {
  const one = element("button", "quiet", text);
  one.type = "button";
  one.addEventListener("click", act);
  return one;
}
