// Saves a draft two seconds after the last change, and when the page is put
// away. It says in words whether the salon's computer has it. Without this
// file the Save button does the same.

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
      // The buttons of the form are called "action", so form.action is not its address.
      const reply = await fetch(form.getAttribute("action"), { method: "POST", body: body(), keepalive: true, redirect: "error", signal: AbortSignal.timeout(15000) });
      if (reply.status === 409) {
        stopped = true;
        status.textContent = "Someone else saved this draft. Press Save draft to see both versions.";
      } else if (reply.status === 401 || reply.status === 403) {
        stopped = true;
        status.textContent = "You are no longer signed in. Keep this page open, sign in in another tab, then press Save draft.";
      } else if (!reply.ok) {
        throw new Error(String(reply.status));
      } else {
        const version = reply.headers.get("X-Draft-Version");
        if (version) form.elements.base_version.value = version;
        failures = 0;
        status.textContent = "Saved " + clock();
      }
    } catch {
      failures++;
      status.textContent = "Not saved yet: the salon's computer did not answer. Trying again; keep this page open.";
      changed = true;
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
  addEventListener("online", () => { if (changed) save(); });
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "hidden" && changed) save();
  });
  addEventListener("pageshow", (event) => { if (event.persisted) stopped = waiting = false; });
}
