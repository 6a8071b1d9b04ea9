// Recompute what fits while numbers are typed. Without this the form's button does the same.
const WAIT_MS = 200;

for (const form of document.querySelectorAll("form[data-live]")) {
  let timer;
  let running;
  form.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(refresh, WAIT_MS);
  });

  async function refresh() {
    running?.abort();
    running = new AbortController();
    const query = new URLSearchParams(new FormData(form));
    try {
      const answer = await fetch(`${location.pathname}?${query}`, { signal: running.signal });
      if (!answer.ok) return; // half-typed numbers: the button explains what is wrong
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const fresh = page.querySelector(form.dataset.live);
      const shown = document.querySelector(form.dataset.live);
      if (fresh && shown) shown.replaceChildren(...fresh.childNodes);
      history.replaceState(null, "", `?${query}`);
    } catch (fault) {
      if (fault.name !== "AbortError") form.querySelector("button").hidden = false;
    }
  }
}
