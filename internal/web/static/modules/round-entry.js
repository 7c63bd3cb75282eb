// Turns a form of the round into entries, as the server does with the same form
// when there are no modules.
import { newID, localTime } from "./outbox-id.js";
import { read } from "./round-measure.js";

// Wrong is something that has to be typed again, beside its field.
export class Wrong extends Error {
  constructor(field, message) {
    super(message);
    this.field = field;
  }
}

// entriesOf returns the entries of a job's form and what they say in a word.
export function entriesOf(form, button, { measures, by }) {
  const sent = new FormData(form, button);
  const text = (name) => (sent.get(name) ?? "").trim();
  const number = (name) => quantity(text(name), name, measures);
  const job = text("job");
  const [plant, task] = job.split("/");
  const at = localTime();
  const entry = (kind, detail) => ({ id: newID(), at, kind, plant, ...(by && { by }), detail: given(detail) });
  const one = (kind, detail) => [entry(kind, { job, ...detail })];

  const reason = text("skip") || text("reason");
  if (text("skip") || text("do") === "skip") {
    if (!reason) throw new Wrong("reason", "Say why, or choose one of the reasons.");
    return { job, words: "skipped: " + reason, entries: one("skip", { reason, wet: text("wet") }) };
  }
  if (reason) throw new Wrong("reason", "A reason is written here: press Skip, or empty it.");

  const done = answerOf(form, button, { task, job, text, number, entry, sent });
  // Not every task asks for a sign.
  if (text("sign")) done.entries.push(entry("sign", { sign: text("sign") }));
  return done;
}

// answerOf returns what the form says about its own job.
function answerOf(form, button, { task, job, text, number, entry, sent }) {
  const one = (kind, detail) => [entry(kind, { job, ...detail })];
  const words = button.textContent.trim().split(",")[0];
  const volume_ml = text("ml") ? Number(text("ml")) : undefined;
  switch (task) {
    case "flush": {
      const list = one("flush", { volume_ml, wet: text("wet") });
      const ec = number("ec");
      const mass = number("mass");
      if (ec !== undefined) list.push(entry("drainage", { ec_ms: ec }));
      if (mass !== undefined) list.push(entry("weigh", { mass_g: mass }));
      return { job, words, entries: list };
    }
    case "feed":
      return { job, words, entries: one("feed", { volume_ml, ec_ms: number("ec") }) };
    case "water":
      return { job, words, entries: one("watering", { volume_ml, wet: text("wet") }) };
    case "mist":
      return { job, words, entries: one("mist", { volume_ml }) };
    case "pest look": {
      const found = text("do") === "found";
      if (found && !text("pest")) throw new Wrong("pest", "Choose what it is, or press None seen.");
      const pest = found ? text("pest") : "";
      return { job, words: pest ? "found " + pest : words, entries: one("pest look", { pest, note: text("note") }) };
    }
    case "review":
      return { job, words, entries: one("review", { stage: text("stage"), note: text("note") }) };
    case "measure roots": {
      const roots = rootsOf(sent, text, number);
      const said = roots.map((r) => `${r.root} ${text(r.field)}`).join(", ");
      return { job, words: "Measured: " + said, entries: one("roots", { roots: roots.map(({ field, ...r }) => r) }) };
    }
  }
  throw new Wrong("do", "This has to be entered with reception.");
}

// rainOf returns the entry of a fall of rain.
export function rainOf(form, button, { measures, by }) {
  const text = (new FormData(form, button).get("mm") ?? "").trim();
  if (!text) throw new Wrong("mm", "How much was it? The gauge says.");
  const rain_mm = quantity(text, "mm", measures);
  return [{ id: newID(), at: localTime(), kind: "rain", ...(by && { by }), detail: { rain_mm } }];
}

function rootsOf(sent, text, number) {
  const list = [];
  for (let i = 0; sent.has(`length.${i}`); i++) {
    const field = `length.${i}`;
    const length_mm = number(field);
    if (length_mm === undefined) continue;
    const root = text(`root.${i}`);
    if (!root) throw new Wrong(`root.${i}`, "Which root is it? A letter or the colour of its thread will do.");
    if (list.some((r) => r.root.toLowerCase() === root.toLowerCase())) throw new Wrong(`root.${i}`, `${root} is measured above already.`);
    list.push(given({ root, length_mm, tip: text(`tip.${i}`), field }));
  }
  if (list.length === 0) throw new Wrong("length.0", "Enter one length at least.");
  return list;
}

function quantity(text, name, measures) {
  if (!text) return undefined;
  try {
    return read(text, measures[name.split(".")[0]]);
  } catch (problem) {
    throw new Wrong(name, problem.message);
  }
}

// given leaves out what was not said.
function given(detail) {
  return Object.fromEntries(Object.entries(detail).filter(([, v]) => v !== undefined && v !== ""));
}
