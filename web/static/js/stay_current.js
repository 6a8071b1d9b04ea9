// Keep a notice board current: fetch it again every two minutes and put its lines in place.
// Without this the page reloads itself.
const PAUSE_MS = 120000;

async function renew() {
  try {
    const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
    if (!answer.ok) throw new Error(answer.statusText);
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = page.querySelector(".board");
    if (fresh) document.querySelector(".board").replaceWith(fresh);
  } catch {
    // No signal, or the server restarts: what is shown says as of when it is; try again later.
  }
  setTimeout(renew, PAUSE_MS);
}

setTimeout(renew, PAUSE_MS);
