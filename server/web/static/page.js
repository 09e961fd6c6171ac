// Small comforts for every page. All of them are extras: each page works
// without this file.

const problems = document.getElementById("problems");
if (problems) problems.focus();

// A link to a folded part of the page unfolds it.
function unfold() {
  const target = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  for (let e = target; e; e = e.parentElement) {
    if (e instanceof HTMLDetailsElement) e.open = true;
  }
  if (target) target.scrollIntoView();
}
addEventListener("hashchange", unfold);
if (location.hash) unfold();

// Paper has no folds.
let folded = [];
addEventListener("beforeprint", () => {
  folded = [...document.querySelectorAll("details:not([open])")];
  for (const d of folded) d.open = true;
});
addEventListener("afterprint", () => {
  for (const d of folded) d.open = false;
});

// A page that is made for paper says so; here it gets the button too.
for (const hint of document.querySelectorAll(".print-hint")) {
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = "Print this page";
  button.addEventListener("click", () => print());
  hint.append(button);
}

// Water on the glass taps twice: a form sent a moment ago is not sent again.
const sent = new WeakMap();
addEventListener("submit", (event) => {
  if (event.defaultPrevented) return; // a script sends it itself
  const last = sent.get(event.target);
  if (last && event.timeStamp - last < 1500) event.preventDefault();
  else sent.set(event.target, event.timeStamp);
});

// A password or PIN can be looked at before it is sent.
for (const input of document.querySelectorAll('input[type="password"]')) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "peek";
  button.textContent = "Show";
  button.setAttribute("aria-pressed", "false");
  button.setAttribute("aria-controls", input.id);
  button.setAttribute("aria-label", input.inputMode === "numeric" ? "Show the PIN" : "Show the password");
  button.addEventListener("click", () => {
    const show = input.type === "password";
    input.type = show ? "text" : "password";
    button.textContent = show ? "Hide" : "Show";
    button.setAttribute("aria-pressed", String(show));
  });
  input.form?.addEventListener("submit", () => { input.type = "password"; });
  input.after(button);
}
