// Recompute what fits while numbers are typed. Without this the form's button does the same.
// Where the network does not answer, an answer that was kept is shown with the time when it was
// fetched; where none is, that is said, and nothing is shown for other numbers. Whoever hears the
// page is told one sentence of the answer, not all of it.
import { keptAnswer } from "./kept_fits.js";

const WAIT_MS = 200;
const PATIENCE_MS = 4000; // a signal that is too weak is none
const LATE = "late";

function replace(page, selector) {
  const fresh = page.querySelector(selector);
  const shown = document.querySelector(selector);
  if (fresh && shown) put(shown, fresh);
}

// Put new content in place; what was opened or shut by hand stays so.
function put(shown, fresh) {
  const isOpen = new Map();
  for (const part of shown.querySelectorAll("[data-part]")) isOpen.set(part.dataset.part, part.open);
  shown.replaceChildren(...fresh.childNodes);
  for (const part of shown.querySelectorAll("[data-part]")) {
    part.open = isOpen.get(part.dataset.part) ?? part.open;
  }
}

function parsed(html) {
  return new DOMParser().parseFromString(html, "text/html");
}

for (const form of document.querySelectorAll("form[data-live]")) {
  const results = document.querySelector(form.dataset.live);
  const said = document.querySelector(form.dataset.said);
  const note = document.querySelector("[data-kept-note]");
  const notKept = document.querySelector("[data-not-kept]");
  let timer;
  let running;
  form.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(refresh, WAIT_MS);
  });

  async function refresh() {
    running?.abort();
    const own = new AbortController();
    running = own;
    const patience = setTimeout(() => own.abort(LATE), PATIENCE_MS);
    const query = new URLSearchParams(new FormData(form));
    try {
      const answer = await fetch(`${location.pathname}?${query}`, { signal: own.signal });
      if (!answer.ok && answer.status !== 422) return; // the button shows what is wrong
      const page = parsed(await answer.text());
      replace(page, form.dataset.faults);
      if (!answer.ok) return; // what was shown stays until the numbers can be used
      replace(page, form.dataset.live);
      say({ shown: true });
      history.replaceState(null, "", `?${query}`);
    } catch {
      if (running === own) await answerFromKept(); // else newer numbers were typed meanwhile
    } finally {
      clearTimeout(patience);
    }
  }

  async function answerFromKept() {
    form.querySelector("button").hidden = false;
    const kept = await keptAnswer(form).catch(() => undefined);
    if (kept) put(results, parsed(kept.html).body);
    say({ shown: Boolean(kept), note: kept?.note });
  }

  function say({ shown, note: words = "" }) {
    results.hidden = !shown;
    if (said) said.textContent = shown ? results.querySelector("[data-said]")?.dataset.said ?? "" : "";
    if (notKept) notKept.hidden = shown;
    if (note) {
      note.textContent = words;
      note.hidden = !words;
    }
  }
}
