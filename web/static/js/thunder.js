// The thunder clock: counts down from the last thunder or lightning that was pressed, by the phone's
// own clock, so that it is right after a reload and after the phone has slept. Nothing leaves the
// phone. Without this the page tells the rule in words.
const KEPT_AT = `thunder-1${document.documentElement.dataset.base ?? ""}`;
const MINUTE = 60_000;
const SAID_EVERY = 10; // minutes
const JUMP = 5_000; // more than a busy phone is late by
const FORGOTTEN = 120 * MINUTE; // a clock that ran out so long ago is of another day
const MOST_KEPT = 50;
const LONGEST_FLASH = 120_000;

const root = document.querySelector("[data-thunder]");
const find = (name) => root.querySelector(`[data-${name}]`);
const wait = Number(root.dataset.wait) * MINUTE;
const said = find("said");
const far = find("far");

let presses = read(); // wall times, the last one last
let last = { wall: Date.now(), steady: performance.now() };
let wasHidden = false;
let flash;
const told = new Set(); // each sentence once

function read() {
  try {
    const kept = JSON.parse(localStorage.getItem(KEPT_AT) ?? "[]");
    const times = Array.isArray(kept) ? kept.filter(Number.isFinite) : [];
    return Date.now() - (times.at(-1) ?? 0) > wait + FORGOTTEN ? [] : times;
  } catch {
    return [];
  }
}

function write() {
  try {
    localStorage.setItem(KEPT_AT, JSON.stringify(presses.slice(-MOST_KEPT)));
  } catch {
    find("not-kept").hidden = false;
  }
}

// A clock that was set while the page was looked at moves what was pressed along with it. One that
// was set meanwhile cannot be told from a phone that slept; but nothing is pressed in the future.
function heedClock() {
  const now = { wall: Date.now(), steady: performance.now() };
  const jump = now.wall - last.wall - (now.steady - last.steady);
  const isSet = Math.abs(jump) > JUMP && !wasHidden;
  if (isSet) presses = presses.map((at) => at + jump);
  const isAhead = (presses.at(-1) ?? 0) > now.wall;
  if (isAhead) presses = [...presses.filter((at) => at <= now.wall), now.wall];
  if ((isSet || isAhead) && presses.length) {
    find("changed").hidden = false;
    write();
  }
  last = now;
  wasHidden = document.hidden;
}

function state() {
  if (!presses.length) return "idle";
  return Date.now() - presses.at(-1) < wait ? "counting" : "over";
}

// As all our pages write times of day.
function clockTime(at) {
  const local = new Date(at);
  return [local.getHours(), local.getMinutes()].map((part) => String(part).padStart(2, "0")).join(":");
}

function show() {
  heedClock();
  const now = state();
  for (const part of root.querySelectorAll("[data-when]")) {
    part.hidden = !part.dataset.when.split(" ").includes(now);
  }
  root.dataset.state = now;
  if (now === "idle") return;
  const ends = presses.at(-1) + wait;
  const left = Math.max(0, Math.ceil((ends - Date.now()) / 1000));
  const [minutes, seconds] = [Math.floor(left / 60), left % 60];
  find("left").textContent = `${minutes}:${String(seconds).padStart(2, "0")}`;
  find("ends").textContent = clockTime(ends);
  find("last").textContent = clockTime(presses.at(-1));
  tell(now, ends, Math.ceil(left / 60));
}

// A screen reader gets a short sentence at the start, every ten minutes and at the end.
function tell(now, ends, left) {
  const { begun, still, done } = said.dataset;
  if (now === "over") say(`over ${ends}`, done);
  else if (left % SAID_EVERY === 0 && left * MINUTE < wait) {
    say(`${left} ${ends}`, still.replace("{left}", left));
  } else say(`begun ${ends}`, begun.replace("{ends}", clockTime(ends)));
}

function say(key, words) {
  if (told.has(key)) return;
  told.add(key);
  said.textContent = words;
}

function press() {
  presses = [...presses, Date.now()];
  find("changed").hidden = true;
  write();
  show();
}

find("press").addEventListener("click", press);
find("take-back").addEventListener("click", () => {
  presses = presses.slice(0, -1);
  write();
  show();
  said.textContent = said.dataset.undone;
});
find("put-away").addEventListener("click", () => {
  presses = [];
  write();
  show();
});

find("lightning").addEventListener("click", () => {
  flash = Date.now();
  find("bang").disabled = false;
  far.textContent = far.dataset.waiting;
});
find("bang").addEventListener("click", () => {
  const gone = Date.now() - flash;
  find("bang").disabled = true;
  press(); // whatever can be heard counts from now on
  const seconds = Math.round(gone / 1000);
  const { near, farther, tooLong } = far.dataset;
  const words = seconds <= Number(root.dataset.flash) ? near : farther;
  const km = Math.round(seconds / Number(root.dataset.secondsAKm));
  const isKnown = gone >= 0 && gone <= LONGEST_FLASH;
  far.textContent = isKnown ? words.replace("{seconds}", seconds).replace("{km}", km) : tooLong;
});

// On the home screen there is no other way back.
const back = document.querySelector("[data-back]");
back.hidden = history.length < 2;
back.addEventListener("click", () => history.back());

addEventListener("storage", (event) => {
  if (event.key !== KEPT_AT && event.key !== null) return;
  presses = read(); // pressed in another window
  show();
});
document.addEventListener("visibilitychange", () => {
  wasHidden = true;
  show();
});
addEventListener("pageshow", show);
setInterval(show, 500);
root.hidden = false;
show();
