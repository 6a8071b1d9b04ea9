// Redraw a pitch while its numbers are typed. Without this the form's second button does the same.
const WAIT_MS = 400;

for (const form of document.querySelectorAll("form[data-draws]")) {
  let timer;
  let running;
  form.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(redraw, WAIT_MS);
  });

  async function redraw() {
    running?.abort();
    running = new AbortController();
    const typed = new FormData(form);
    typed.delete("once"); // a drawing may be asked for many times
    typed.set("act", "look");
    try {
      const answer = await fetch(form.action, { method: "POST", body: typed, signal: running.signal });
      if (!answer.ok) return; // what was drawn stays until the numbers can be used; saving says why
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const fresh = page.querySelector(form.dataset.draws);
      const shown = document.querySelector(form.dataset.draws);
      if (!fresh || !shown) return;
      const isOpen = shown.querySelector("details")?.open ?? false;
      shown.replaceChildren(...fresh.childNodes);
      const said = document.querySelector(form.dataset.said);
      if (said) said.textContent = shown.querySelector("[data-said]")?.dataset.said ?? "";
      const details = shown.querySelector("details");
      if (details) details.open = isOpen;
    } catch (fault) {
      if (fault.name !== "AbortError") throw fault;
    }
  }
}
