// Live touches of the marking form: the brief stays in sight as it is typed, the
// clock and the quick phrases answer without sending the form, and a comb that
// passed everywhere is one touch. Each button does the same through the salon's
// computer without this file.

const form = document.querySelector("form[data-autosave]");

if (form) {
  const field = (name) => form.elements.namedItem(name);
  const told = (input) => input.dispatchEvent(new Event("input", { bubbles: true }));

  // ---- the brief, pinned ----

  const pinned = document.querySelector("[data-pinned]");
  function pin() {
    let any = false;
    for (const line of pinned.querySelectorAll("[data-brief]")) {
      const text = field(line.dataset.brief)?.value.trim() ?? "";
      line.querySelector("span").textContent = text;
      line.hidden = text === "";
      any ||= text !== "";
    }
    pinned.hidden = !any;
  }
  if (pinned) form.addEventListener("input", (event) => {
    if (event.target instanceof HTMLTextAreaElement) pin();
  });

  // ---- the clock ----

  const clock = form.querySelector("[data-clock]");
  const minutes = (time) => {
    const [h, m] = time.split(":").map(Number);
    return h * 60 + m;
  };
  function now() {
    const t = new Date();
    return `${String(t.getHours()).padStart(2, "0")}:${String(t.getMinutes()).padStart(2, "0")}`;
  }
  function endBreak(time) {
    const since = field("break_since");
    if (since.value && minutes(time) > minutes(since.value)) {
      field("breaks").value = String((parseInt(field("breaks").value, 10) || 0) + minutes(time) - minutes(since.value));
    }
    since.value = "";
  }
  function touch(does) {
    const time = now();
    if (does === "start") { field("start").value = time; field("stop").value = ""; }
    if (does === "break") field("break_since").value = time;
    if (does === "on") endBreak(time);
    if (does === "finish") { endBreak(time); field("stop").value = time; }
    told(field("start"));
  }
  function showClock() {
    const start = field("start").value, stop = field("stop").value, since = field("break_since").value;
    const runs = start !== "" && stop === "";
    const shown = { start: start === "", break: runs && !since, on: runs && since !== "", finish: runs };
    for (const button of clock.querySelectorAll("[data-clock-does]")) button.hidden = !shown[button.dataset.clockDoes];
    let words = "The clock has not been started.";
    if (runs) words = since ? `On a break since ${since}.` : `Running since ${start}.`;
    else if (start) words = `${start} to ${stop}: ${Math.max(0, minutes(stop) - minutes(start) - (parseInt(field("breaks").value, 10) || 0))} minutes without breaks.`;
    clock.querySelector("[data-clock-words]").textContent = words;
  }
  if (clock) {
    clock.addEventListener("click", (event) => {
      const button = event.target.closest("[data-clock-does]");
      if (!button) return;
      event.preventDefault();
      touch(button.dataset.clockDoes);
      showClock();
      clock.querySelector("[data-clock-does]:not([hidden])")?.focus();
    });
    for (const name of ["start", "stop", "breaks"]) field(name).addEventListener("change", showClock);
  }

  // ---- quick phrases ----

  for (const button of form.querySelectorAll("[data-phrase-for]")) {
    button.addEventListener("click", (event) => {
      event.preventDefault();
      const area = field(button.dataset.phraseFor), phrase = button.textContent;
      const text = area.value.trimEnd();
      if (text.includes(phrase)) return;
      area.value = text === "" ? phrase : text + " " + phrase;
      told(area);
    });
  }

  // ---- the comb test in one touch ----

  const places = [...form.querySelectorAll('input[type="checkbox"][name="prep"]')];
  if (places.length > 1) {
    const all = document.createElement("button");
    all.type = "button";
    all.className = "all-places";
    all.textContent = "It passed in all of them";
    all.addEventListener("click", () => {
      for (const p of places) p.checked = true;
      told(places[0]);
    });
    places[0].closest(".picks").after(all);
  }
}
