// Prints the events of a calendar as ical.js reads them, with the zones that the
// file itself brings.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const require = createRequire(new URL("../../../e2e/package.json", import.meta.url));
const { default: ICAL } = await import(require.resolve("ical.js")).catch((error) => {
  console.error("ERR_MODULE_NOT_FOUND", error.message);
  process.exit(1);
});

const calendar = new ICAL.Component(ICAL.parse(readFileSync(process.argv[2], "utf8")));
for (const zone of calendar.getAllSubcomponents("vtimezone")) ICAL.TimezoneService.register(zone);
const shown = (time) => (time.isDate ? time.toString() : time.toJSDate().toISOString().replace(".000Z", "Z"));
for (const one of calendar.getAllSubcomponents("vevent")) {
  const event = new ICAL.Event(one);
  const alarms = one.getAllSubcomponents("valarm").length;
  console.log([event.uid, shown(event.startDate), shown(event.endDate), one.getFirstPropertyValue("status"), alarms, event.summary].join("|"));
}
