// Keep, in the background, what fits for the likely numbers of an evening, so that numbers typed
// without signal are answered. Answers that were kept and are still true are not fetched again: the
// key of the page tells everything that they hang on.
const FITS = `fits-1${document.documentElement.dataset.base ?? ""}`; // forgotten with the pages, see service_worker.js
const PAUSE_MS = 150; // leave the server and the phone time for what somebody waits for
const MOST_KEPT = 120; // answers: five evenings or so
const FIELDS_OF_NUMBERS = ["date", "session", "players", "goalkeepers"];

function addressOf(form, players) {
  const address = new URL(form.dataset.keptAt, location.href);
  address.searchParams.set("players", players);
  return address.href;
}

async function keptFor(form, players) {
  if (!("caches" in window)) return undefined;
  const answer = await (await caches.open(FITS)).match(addressOf(form, players));
  const kept = await answer?.json();
  return kept?.key === form.dataset.keptKey ? kept : undefined;
}

// Return what was kept for the numbers of a form: its part of the page, and when it was fetched.
export async function keptAnswer(form) {
  const values = new FormData(form);
  const isOwnKit = [...values].every(([name, value]) => !value || FIELDS_OF_NUMBERS.includes(name));
  if (!isOwnKit) return undefined;
  const numbers = ["players", "goalkeepers"].map((name) => Number(values.get(name)));
  const kept = await keptFor(form, numbers[0]);
  const html = kept?.answers[numbers.join(" ")];
  return html === undefined ? undefined : { html, note: kept.note };
}

// The squad's own number first, then those nearest to it.
function likely({ keptFrom, keptTo, keptFirst }) {
  const numbers = [];
  for (let players = Number(keptFrom); players <= Number(keptTo); players += 1) numbers.push(players);
  const far = (players) => Math.abs(players - Number(keptFirst));
  return numbers.sort((a, b) => far(a) - far(b));
}

async function keep(form) {
  const cache = await caches.open(FITS);
  let count = 0;
  for (const players of likely(form.dataset)) {
    if (!(await keptFor(form, players))) {
      const answer = await fetch(addressOf(form, players));
      if (!answer.ok || answer.redirected) return;
      await cache.put(addressOf(form, players), answer);
      await new Promise((done) => { setTimeout(done, PAUSE_MS); });
    }
    count += 1;
    document.documentElement.dataset.fitsKept = count;
  }
  const keys = await cache.keys();
  await Promise.all(keys.slice(0, -MOST_KEPT).map((key) => cache.delete(key)));
  document.documentElement.dataset.fitsKept = "all";
}

const form = document.querySelector("form[data-kept-at]");
if (form && "caches" in window && !navigator.connection?.saveData) {
  keep(form).catch(() => undefined); // without signal there is nothing to fetch
}
