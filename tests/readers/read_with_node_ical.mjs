// Reads calendars with node-ical: {name: text} on standard input, {name: [event]} on standard
// output. It takes a zone by its name from the data that come with Node.
import { readFileSync } from "node:fs";
import ical from "node-ical";

const seconds = (date) => date.getTime() / 1000;
const plain = (value) => value?.val ?? value ?? "";

const read = {};
for (const [name, text] of Object.entries(JSON.parse(readFileSync(0, "utf8")))) {
  read[name] = Object.values(ical.sync.parseICS(text))
    .filter((component) => component.type === "VEVENT")
    .map((event) => ({
      uid: event.uid,
      starts_at_s: seconds(event.start),
      ends_at_s: seconds(event.end),
      title: plain(event.summary),
      place: plain(event.location),
      description: plain(event.description),
      status: event.status,
      sequence: Number(event.sequence),
      stamp_s: seconds(event.dtstamp),
    }));
}
process.stdout.write(JSON.stringify(read));
