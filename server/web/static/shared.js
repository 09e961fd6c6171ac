// On a tablet that several people share, nothing of one person stays on the
// screen when the next one takes it. All of this is an extra: the salon's
// computer refuses what does not belong to whoever is signed in.

import { onWho, tellWho } from "./tabs.js";

const me = document.body.dataset.person;

// The other tabs of this browser show the same person, or nobody. A draft puts
// itself out of sight, with what is not saved yet.
if (!me && location.search === "?switched") tellWho("");
onWho((who) => {
  if (me && who !== me && !document.querySelector("form[data-autosave]")) location.replace(who ? "/" : "/sign-in");
});

// A page that the browser kept in its memory is asked for again.
addEventListener("pageshow", (event) => { if (event.persisted) location.reload(); });

// A page that nobody touches is covered; what was typed in it stays. While
// somebody types, the salon's computer is told now and then, or it would take
// them for gone.
const lock = document.getElementById("lock");
if (lock) {
  const limit = lock.dataset.seconds * 1000;
  const form = lock.querySelector("form");
  const problem = document.getElementById("lock-problem");
  const behind = [...document.body.children].filter((e) => e !== lock);
  let touched = Date.now();
  let told = touched;

  function touch() {
    if (!lock.hidden) return;
    touched = Date.now();
    if (touched - told < limit / 5) return;
    told = touched;
    fetch("/help", { method: "HEAD" }).catch(() => {});
  }
  for (const kind of ["pointerdown", "keydown", "input"]) addEventListener(kind, touch, { passive: true });

  function cover(on) {
    lock.hidden = !on;
    document.body.classList.toggle("locked", on);
    for (const e of behind) e.inert = on;
    if (on) lock.querySelector("input:not([type=hidden])").focus();
    else {
      touched = told = Date.now();
      dispatchEvent(new Event("focus")); // what could not be saved meanwhile is tried again
    }
  }
  function look() {
    if (lock.hidden && Date.now() - touched >= limit) cover(true);
  }
  setInterval(look, Math.min(limit / 5, 5000));
  document.addEventListener("visibilitychange", look);

  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    event.stopImmediatePropagation(); // a wrong PIN may be corrected at once
    try {
      const reply = await fetch(form.action, {
        method: "POST", body: new URLSearchParams(new FormData(form)), redirect: "manual", signal: AbortSignal.timeout(15000),
      });
      form.reset();
      problem.hidden = reply.type === "opaqueredirect";
      if (problem.hidden) return cover(false);
      const page = new DOMParser().parseFromString(await reply.text(), "text/html");
      problem.textContent = page.querySelector("#problems li")?.textContent ?? "This did not work. Try once more.";
    } catch {
      problem.hidden = false;
      problem.textContent = "The salon's computer did not answer. Try once more.";
    }
  });
}
