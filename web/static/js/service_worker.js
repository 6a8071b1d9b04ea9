// Keeps the pages that somebody last looked at, so that they open at the pitch side without signal.
// The network comes first. What was kept is shown when it does not answer, and says when it was
// fetched. Everything is forgotten when somebody signs out, or signs in as somebody else.
// Shows the notices that the phone's owner switched on, too (see tell_phone.js).
const BASE = self.location.pathname.replace(/\/[^/]*$/, ""); // blank unless the host serves others, too
const STATIC = "/static"; // the server puts the folder of its present files here
const ALWAYS_KEPT = [
  "css/pages.css",
  "fonts/AtkinsonHyperlegibleNext-Regular.woff2",
  "fonts/AtkinsonHyperlegibleNext-Bold.woff2",
  "js/thunder.js", // its page is kept before anybody has opened it
];
const PAGES = `pages-1${BASE}`;
const PARTS = `parts-1${BASE}`;
const TOLD = `told-1${BASE}`; // where tell_phone.js remembers pages, and what was told last
const FITS = `fits-1${BASE}`; // kept by kept_fits.js
const NO_SIGNAL = `${BASE}/no-signal`;
const KEPT = /^\/(coach|ground|session)(\/[^.]*)?$|^\/desk\/evening$|^\/thunder$/;
const PERSONAL = /^\/(coach|desk)/;
const KEPT_FIELDS = ["date", "venue", "session"];
const LEAVING = /^\/(sign-out|sign-in|let-in|secretary)(\/|$)/;
const PATIENCE_MS = 4000; // a signal that is too weak is none
const MOST_PAGES = 40;
const PART = /^\/static\/(?:[0-9a-f]{12}\/)?(.+)$/;
const MOST_VERSIONS = 2; // of a part: pages that were kept before an upgrade look as they did

self.addEventListener("install", (event) => {
  const addresses = ALWAYS_KEPT.map((name) => `${STATIC}/${name}`);
  const kept = addresses.map((address) => part(new Request(address)).catch(() => undefined));
  const words = caches.open(PARTS).then((parts) => parts.add(NO_SIGNAL)).catch(() => undefined);
  event.waitUntil(Promise.all([...kept, words]).then(() => self.skipWaiting()));
});
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== self.location.origin || !url.pathname.startsWith(`${BASE}/`)) return;
  if (request.method === "POST" && LEAVING.test(below(url))) {
    event.respondWith(caches.delete(FITS).then(() => caches.delete(PAGES)).then(() => fetch(request)));
  } else if (request.method !== "GET") {
    return;
  } else if (below(url).startsWith("/static/")) {
    event.respondWith(part(request));
  } else if (isKept(url)) {
    event.respondWith(page(event, url));
  } else if (request.mode === "navigate") {
    event.respondWith(fetch(request).catch(() => nothingKept()));
  }
});

let telling = Promise.resolve(); // one after another, so that each knows of those before it
self.addEventListener("push", (event) => {
  telling = telling.then(() => tell(event.data)).catch(() => undefined);
  event.waitUntil(telling);
});
self.addEventListener("notificationclick", (event) => {
  event.notification.close();
  event.waitUntil(lead(event.notification.data));
});

// The path within the pages of this club.
function below(url) {
  return url.pathname.slice(BASE.length);
}

function isKept(url) {
  return KEPT.test(below(url)) && [...url.searchParams.keys()].every((f) => KEPT_FIELDS.includes(f));
}

// A part that was kept never changes, since its address holds a fingerprint. One that is not kept
// and cannot be fetched is stood in for by another version of it.
async function part(request) {
  const cache = await caches.open(PARTS);
  const kept = await cache.match(request);
  if (kept) return kept;
  const answer = await fetch(request).catch(() => undefined);
  if (answer?.ok && /\bimmutable\b/.test(answer.headers.get("Cache-Control"))) {
    const copy = answer.clone();
    await cache.put(request, copy);
    const old = (await versions(cache, request.url)).slice(0, -MOST_VERSIONS);
    await Promise.all(old.map((key) => cache.delete(key)));
  }
  if (answer?.ok) return answer;
  const last = (await versions(cache, request.url)).pop();
  return (last && (await cache.match(last))) ?? answer ?? Response.error();
}

async function versions(cache, address) {
  const name = nameOf(address);
  return (await cache.keys()).filter((key) => nameOf(key.url) === name);
}

function nameOf(address) {
  return below(new URL(address)).match(PART)?.[1];
}

async function page(event, url) {
  const cache = await caches.open(PAGES);
  const fresh = fetch(event.request).then((answer) => keep(cache, url, answer));
  event.waitUntil(fresh.catch(() => undefined));
  const kept = await cache.match(url.href);
  if (!kept) return fresh.catch((fault) => {
    if (event.request.mode === "navigate") return nothingKept();
    throw fault;
  });
  const late = new Promise((done) => setTimeout(done, PATIENCE_MS));
  const answer = await Promise.race([fresh, late]).catch(() => undefined);
  return answer ?? asKept(kept);
}

async function keep(cache, url, answer) {
  const isPage = (answer.headers.get("Content-Type") ?? "").startsWith("text/html");
  if (answer.ok && isPage && !answer.redirected) {
    const copy = answer.clone();
    await cache.delete(url.href);
    await cache.put(url.href, copy.clone());
    await keepWords(await copy.text()).catch(() => undefined);
    const keys = await cache.keys();
    await Promise.all(keys.slice(0, -MOST_PAGES).map((key) => cache.delete(key)));
  } else if (answer.type === "opaqueredirect" || answer.redirected) {
    await forgetPersonal(cache); // led to signing in: whoever was signed in is no longer
  } else if ([401, 403, 404, 410].includes(answer.status)) {
    await cache.delete(url.href);
  }
  return answer;
}

async function forgetPersonal(cache) {
  const keys = await cache.keys();
  const own = keys.filter((key) => PERSONAL.test(below(new URL(key.url))));
  await Promise.all(own.map((key) => cache.delete(key)));
  await caches.delete(FITS);
}

// It says when it was fetched, and not once more what had just been done then.
async function asKept(answer) {
  const text = await answer.text();
  const headers = unpacked(answer.headers);
  const shown = text.replace(" hidden data-offline", " data-offline").replace(" data-once", " hidden");
  return new Response(shown, { headers });
}

// What was kept has been unpacked, and its text is changed.
function unpacked(headers) {
  const own = new Headers(headers);
  own.delete("Content-Encoding");
  own.delete("Content-Length");
  return own;
}

async function nothingKept() {
  const words = await (await caches.open(PARTS)).match(NO_SIGNAL, { ignoreVary: true });
  if (!words) return Response.error(); // the browser has words of its own
  const cache = await caches.open(PAGES);
  const lines = [];
  for (const key of await cache.keys()) {
    const { pathname, search } = new URL(key.url);
    const title = (await (await cache.match(key)).text()).match(/<title>([^<]*)</)?.[1] ?? pathname;
    lines.push(`<li><a href="${pathname}${search.replaceAll("&", "&amp;")}">${title}</a></li>`);
  }
  let text = await words.text();
  if (lines.length) {
    text = text.replace(" hidden data-kept-pages", " data-kept-pages");
    text = text.replace("<ul></ul>", () => `<ul>${lines.join("")}</ul>`);
  }
  return new Response(text, { status: 503, headers: unpacked(words.headers) });
}

// Keep the words for a page that was not kept, in the language of those that are.
async function keepWords(text) {
  const parts = await caches.open(PARTS);
  const [lang] = text.match(/<html lang="[^"]*"/) ?? [""];
  const kept = await parts.match(NO_SIGNAL, { ignoreVary: true });
  if (!kept || !(await kept.text()).includes(lang)) await parts.add(NO_SIGNAL);
}

// Show a notice. One about the same booking takes the place of an earlier one and rings again; the
// same one sent twice does not ring, and one that was overtaken on the way says nothing any more.
async function tell(data) {
  const notice = data?.json();
  if (!notice?.title) return;
  const { title, body, lang, tag, number } = notice;
  const cache = await caches.open(TOLD);
  const place = `/remembered/last-${tag}`;
  const last = Number(await (await cache.match(place))?.text()) || 0;
  const isShown = (await self.registration.getNotifications({ tag })).length > 0;
  if (number < last && isShown) return;
  await cache.put(place, new Response(String(number)));
  const isNew = number > last;
  await self.registration.showNotification(title, {
    body, lang, tag, renotify: isNew, silent: !isNew, data: notice, icon: `${STATIC}/icon.svg`,
  });
}

// Open the page that a notice is about, in a window that shows it already if there is one.
async function lead({ path, place, date }) {
  const cache = await caches.open(TOLD);
  const page = place && (await (await cache.match(`/remembered/${place}`))?.text());
  const leads = path || !page ? `${BASE}${path ?? "/"}` : `${page}?date=${date}`;
  const url = new URL(leads, self.location.origin);
  if (url.origin !== self.location.origin) return undefined;
  const windows = await self.clients.matchAll({ type: "window", includeUncontrolled: true });
  const shown = windows.find((each) => new URL(each.url).pathname === url.pathname);
  if (!shown) return self.clients.openWindow(url.href);
  const there = await shown.navigate(url.href).catch(() => shown);
  return (there ?? shown).focus();
}
