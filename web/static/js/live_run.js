// Renew the progress of a running share-out. Without this the page reloads itself.
const run = document.getElementById("run");
const pause = Number(run?.dataset.renew);

async function renew() {
  let page;
  try {
    const answer = await fetch(location.pathname, { headers: { Accept: "text/html" } });
    if (!answer.ok) throw new Error(answer.statusText);
    page = new DOMParser().parseFromString(await answer.text(), "text/html");
  } catch {
    setTimeout(renew, 3 * pause); // the server may be restarting; the run goes on
    return;
  }
  const fresh = page.getElementById("run");
  if (!fresh || !fresh.dataset.renew) {
    location.reload(); // it has come to an end: the page then offers what is next
    return;
  }
  // Words are only touched when they change, so that they are read out once.
  const words = run.querySelector("#run-words");
  const said = fresh.querySelector("#run-words").textContent;
  if (words.textContent !== said) words.textContent = said;
  while (words.nextSibling) words.nextSibling.remove();
  while (fresh.querySelector("#run-words").nextSibling) {
    run.append(fresh.querySelector("#run-words").nextSibling);
  }
  setTimeout(renew, pause);
}

if (pause) setTimeout(renew, pause);
