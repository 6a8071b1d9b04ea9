// Without signal nothing can be sent: switch off what needs it, say why, and switch it on again once
// the server answers. Fields stay open, so that nothing typed is lost. The notice is shown by the
// service worker where a page is one that it kept; without JavaScript there is no such page.
const PAUSE_MS = 15000;
const BASE = document.documentElement.dataset.base ?? "";
const notice = document.querySelector("[data-offline]");
const isKept = Boolean(notice) && !notice.hidden;
const off = [];
let isTyped = false;
let timer;

async function isReached() {
  try {
    const answer = await fetch(`${BASE}/no-signal`, { method: "HEAD", cache: "no-store" });
    return answer.ok;
  } catch {
    return false;
  }
}

function switchOff() {
  if (timer) return;
  notice.hidden = false;
  document.documentElement.classList.add("no-signal");
  for (const button of document.querySelectorAll("form button:enabled")) {
    button.disabled = true;
    button.setAttribute("aria-describedby", notice.id);
    off.push(() => {
      button.disabled = false;
      button.removeAttribute("aria-describedby");
    });
  }
  for (const link of document.querySelectorAll("a[data-needs-signal]")) {
    const address = link.getAttribute("href");
    link.removeAttribute("href"); // as a link that leads nowhere yet is written in HTML
    link.setAttribute("aria-disabled", "true");
    off.push(() => {
      link.href = address;
      link.removeAttribute("aria-disabled");
    });
  }
  timer = setInterval(lookAgain, PAUSE_MS);
}

function switchOn() {
  clearInterval(timer);
  timer = undefined;
  notice.hidden = true;
  document.documentElement.classList.remove("no-signal");
  while (off.length) off.pop()();
}

async function lookAgain() {
  if (!timer || !(await isReached())) return;
  if (isKept && !isTyped) {
    location.reload(); // what was kept may be old
  } else {
    switchOn();
  }
}

if (notice) {
  document.addEventListener("input", () => { isTyped = true; });
  addEventListener("online", lookAgain);
  addEventListener("offline", async () => {
    if (!(await isReached())) switchOff(); // a server in the same house needs no signal
  });
  if (isKept) switchOff();
}
