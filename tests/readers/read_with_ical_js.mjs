// Reads calendars with ical.js: {name: text} on standard input, {name: [event]} on standard output.
// Every zone comes from the description in the file, never from the machine.
import { readFileSync } from "node:fs";
import ICAL from "ical.js";

const read = {};
for (const [name, text] of Object.entries(JSON.parse(readFileSync(0, "utf8")))) {
  ICAL.TimezoneService.reset();
  const calendar = new ICAL.Component(ICAL.parse(text));
  for (const zone of calendar.getAllSubcomponents("vtimezone")) {
    ICAL.TimezoneService.register(zone);
  }
  read[name] = calendar.getAllSubcomponents("vevent").map((component) => {
    const event = new ICAL.Event(component);
    for (const time of [event.startDate, event.endDate]) {
      if (time.zone === ICAL.Timezone.localTimezone) {
        throw new Error(`${event.uid}: a time without a zone`);
      }
    }
    return {
      uid: event.uid,
      starts_at_s: event.startDate.toUnixTime(),
      ends_at_s: event.endDate.toUnixTime(),
      title: event.summary,
      place: event.location ?? "",
      description: event.description ?? "",
      status: component.getFirstPropertyValue("status"),
      sequence: component.getFirstPropertyValue("sequence"),
      stamp_s: component.getFirstPropertyValue("dtstamp").toUnixTime(),
    };
  });
}
process.stdout.write(JSON.stringify(read));
