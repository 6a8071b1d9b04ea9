// Recompute what fits while numbers are typed. Without this the form's button does the same.
const WAIT_MS = 200;

function replace(page, selector) {
  const fresh = page.querySelector(selector);
  const shown = document.querySelector(selector);
  if (fresh && shown) shown.replaceChildren(...fresh.childNodes);
}

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
      if (!answer.ok && answer.status !== 422) return; // the button shows what is wrong
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      replace(page, form.dataset.faults);
      if (!answer.ok) return; // what was shown stays until the numbers can be used
      replace(page, form.dataset.live);
      history.replaceState(null, "", `?${query}`);
    } catch (fault) {
      if (fault.name !== "AbortError") form.querySelector("button").hidden = false;
    }
  }
}
