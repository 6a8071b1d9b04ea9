// Hand an address over by what the phone offers for it (Web Share, W3C), or copy it. Without this the
// address stands on the page, to be copied by hand, and as a square to scan.
for (const place of document.querySelectorAll("[data-hand-over]")) {
  const { handOver: url, title } = place.dataset;
  const share = place.querySelector("[data-share]");
  const copy = place.querySelector("[data-copy]");
  const said = place.querySelector("[data-said]");

  share.hidden = !navigator.share;
  copy.hidden = !navigator.clipboard;
  place.hidden = share.hidden && copy.hidden;

  share.addEventListener("click", () => {
    navigator.share({ title, url }).catch(() => undefined); // closed again: nothing is to be said
  });
  copy.addEventListener("click", async () => {
    try {
      await navigator.clipboard.writeText(url);
      said.textContent = said.dataset.copied;
    } catch {
      said.textContent = said.dataset.failed;
    }
  });
}
