// Saves a draft two seconds after the last change, and when the page is put
// away. It says in words whether the salon's computer has it, and shows the
// result so far as the salon's computer works it out. Without this file the
// Save button does the same.

const form = document.querySelector("form[data-autosave]");
const status = document.getElementById("save-status");

if (form && status) {
  const waits = [2, 5, 15, 30];
  let timer = 0;
  let saving = false;
  let saved = Promise.resolve(); // settles when the save under way is over
  let waiting = false; // a submit waits for it
  let changed = false;
  let failures = 0;
  let stopped = false;

  // What ends saving by itself, and what to do then.
  const ends = {
    401: "You are no longer signed in. Keep this page open, sign in in another tab, then press Save draft.",
    403: "You are no longer signed in. Keep this page open, sign in in another tab, then press Save draft.",
    404: "This draft was discarded in another window. What stands here is not saved.",
    409: "This draft was saved in another window. Press Save draft to see both versions.",
    410: "This groom was signed in another window. What you changed here after that is not in it.",
  };
  // A request that outlives its page may carry 64 KB at most, with room here
  // for its headers; letters outside ASCII take six to twelve bytes each.
  const keepBytes = 60000;

  const clock = () => new Date().toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });

  function body() {
    const data = new URLSearchParams(new FormData(form));
    data.set("action", "autosave");
    return data;
  }

  function later(seconds) {
    clearTimeout(timer);
    timer = setTimeout(save, seconds * 1000);
  }

  async function save() {
    clearTimeout(timer);
    if (stopped) return;
    if (saving) { changed = true; return; }
    saving = true;
    changed = false;
    saved = send();
    await saved;
    saving = false;
    if (changed && !stopped) later(failures ? waits[Math.min(failures, waits.length) - 1] : 2);
  }

  async function send() {
    try {
      const data = body().toString(); // percent-encoded: one byte for each character
      const keepalive = document.visibilityState === "hidden" && data.length < keepBytes;
      // The buttons of the form are called "action", so form.action is not its address.
      const reply = await fetch(form.getAttribute("action"), {
        method: "POST", body: data, headers: { "Content-Type": "application/x-www-form-urlencoded;charset=UTF-8" },
        keepalive, redirect: "error", signal: AbortSignal.timeout(15000),
      });
      if (ends[reply.status]) {
        stopped = true;
        status.textContent = ends[reply.status];
      } else if (reply.status === 413) {
        failures = 0; // sending the same again would not help
        status.textContent = "Not saved: this is too long. Shorten the longest note.";
      } else if (!reply.ok) {
        again("Not saved yet: something went wrong on the salon's computer. Trying again; keep this page open.");
      } else {
        const saved = await reply.json();
        form.elements.base_version.value = saved.version;
        show(saved.so_far);
        failures = 0;
        status.textContent = "Saved " + clock();
      }
    } catch {
      again("Not saved yet: the salon's computer did not answer. Trying again; keep this page open.");
    }
  }

  function again(words) {
    failures++;
    status.textContent = words;
    changed = true;
  }

  function show(soFar) {
    for (const part of document.querySelectorAll("[data-so-far]")) {
      part.textContent = soFar[part.dataset.soFar] ?? "";
    }
  }

  function touched() {
    if (stopped) return;
    changed = true;
    if (failures === 0) status.textContent = "Changed, saving in a moment";
    later(2);
  }

  form.addEventListener("input", touched);
  form.addEventListener("change", touched);
  // A save under way raises the version; the form waits for the new one, or it
  // would meet its own change as someone else's.
  form.addEventListener("submit", (event) => {
    clearTimeout(timer);
    stopped = true;
    if (!saving) return;
    event.preventDefault();
    if (waiting) return;
    waiting = true;
    const button = event.submitter;
    saved.then(() => form.requestSubmit(button));
  });
  // Whoever leaves the page to somebody else leaves nothing unsaved behind.
  for (const leave of document.querySelectorAll('form[action="/sign-out"]')) {
    leave.addEventListener("submit", (event) => {
      if (stopped || !changed && !saving) return;
      event.preventDefault();
      saved.then(save).then(() => leave.submit());
    });
  }
  addEventListener("online", () => { if (changed) save(); });
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "hidden" && changed) save();
  });
  addEventListener("pageshow", (event) => { if (event.persisted) stopped = waiting = false; });
}
