// Notices to this phone, switched on and off by its owner (see service_worker.js for what it shows).
// The browser makes up an address for its notices; the form takes it to the club. Which page a
// notice leads to is remembered here, since the club keeps no secret of an address.
const BASE = document.documentElement.dataset.base ?? "";
const REMEMBERED = `told-1${BASE}`;
const section = document.querySelector("[data-tell]");

if (section) {
  for (const form of section.querySelectorAll("[data-tell-form]")) {
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const button = form.querySelector("button");
      button.disabled = true; // one press is one answer
      const work = form.dataset.tellForm === "on" ? switchOn(form) : switchOff(form);
      work.catch(() => why("failed")).finally(() => { button.disabled = false; });
    });
  }
  await showState().catch(() => why("unable"));
  section.hidden = false;
}

async function showState() {
  if (!isSecureContext) return why("insecure");
  const isAble = ["serviceWorker" in navigator, "PushManager" in window, "Notification" in window];
  if (isAble.includes(false)) return why(isTabOnPhone() ? "tab" : "unable");
  if (Notification.permission === "denied") return why("denied");
  const subscription = await (await worker()).pushManager.getSubscription();
  const marks = section.dataset.marks.split(" ");
  const isTold = subscription && marks.includes(await markOf(subscription.endpoint));
  section.querySelector(`[data-tell-form=${isTold ? "off" : "on"}]`).hidden = false;
}

// Some phones tell a page only once it is on the home screen (Web App Manifest, "display-mode").
function isTabOnPhone() {
  const isOnHomeScreen = matchMedia("(display-mode: standalone)").matches;
  return navigator.maxTouchPoints > 0 && !isOnHomeScreen;
}

async function worker() {
  await navigator.serviceWorker.register(`${BASE}/service-worker.js`);
  return navigator.serviceWorker.ready;
}

async function switchOn(form) {
  if ((await Notification.requestPermission()) !== "granted") {
    if (Notification.permission === "denied") why("denied");
    return;
  }
  const { pushManager } = await worker();
  const wish = { userVisibleOnly: true, applicationServerKey: octets(section.dataset.key) };
  let subscription;
  try {
    subscription = await pushManager.subscribe(wish);
  } catch (fault) {
    const earlier = await pushManager.getSubscription(); // bound to a key that the club had before
    if (!earlier) throw fault;
    await earlier.unsubscribe();
    subscription = await pushManager.subscribe(wish);
  }
  const { endpoint, keys } = subscription.toJSON();
  await remember();
  for (const [name, value] of Object.entries({ endpoint, ...keys })) {
    if (form.elements[name]) form.elements[name].value = value;
  }
  form.submit();
}

async function switchOff(form) {
  const subscription = await (await worker()).pushManager.getSubscription();
  form.elements.endpoint.value = subscription?.endpoint ?? "";
  form.submit();
}

async function remember() {
  const { place } = section.dataset;
  if (!place) return;
  const cache = await caches.open(REMEMBERED);
  await cache.put(`/remembered/${place}`, new Response(location.pathname));
}

async function markOf(endpoint) {
  const digest = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(endpoint));
  const digits = [...new Uint8Array(digest)].map((octet) => octet.toString(16).padStart(2, "0"));
  return digits.join("").slice(0, 16);
}

function octets(words) {
  const letters = atob(words.replaceAll("-", "+").replaceAll("_", "/"));
  return Uint8Array.from(letters, (letter) => letter.charCodeAt(0));
}

function why(reason) {
  for (const words of section.querySelectorAll("[data-tell-why]")) {
    words.hidden = words.dataset.tellWhy !== reason;
  }
}
