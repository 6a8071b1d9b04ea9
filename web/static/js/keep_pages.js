// Let this page, and those it points out, open again without signal (see service_worker.js).
const MOST_LINKS = 6;

if ("serviceWorker" in navigator) {
  const base = document.documentElement.dataset.base ?? "";
  await navigator.serviceWorker.register(`${base}/service-worker.js`);
  const isNew = !navigator.serviceWorker.controller;
  if (isNew) {
    await new Promise((done) => {
      navigator.serviceWorker.addEventListener("controllerchange", done, { once: true });
    });
  }
  const found = ["a[data-keep=first]", "a[data-keep]"].flatMap((each) => [...document.querySelectorAll(each)]);
  const links = [...new Set(found)].slice(0, MOST_LINKS);
  const parts = [...document.querySelectorAll("link[rel=stylesheet], script[src]")];
  const addresses = [...new Set(links.map((link) => link.href))];
  if (isNew) addresses.unshift(location.href, ...parts.map((part) => part.href ?? part.src));
  for (const address of addresses) {
    await fetch(address).catch(() => undefined);
  }
  document.documentElement.dataset.kept = "yes";
}
