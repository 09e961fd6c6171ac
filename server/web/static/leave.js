// On every page of somebody who is signed in: tells the other tabs who it is,
// reminds of changes that are still only on this tablet, and asks what to do
// with them before signing out.

import { deliver } from "./deliver.js";
import { forget, keptBy } from "./keep.js";
import { here, openPages, tellWho } from "./tabs.js";
import { button, count, make } from "./words.js";

const form = document.querySelector("form[data-person]");
const person = form?.dataset.person;

const sum = (list) => list.reduce((n, e) => n + Object.keys(e.changes).length, 0);

// notThere are the entries of a list that the salon's computer does not have;
// those it has are forgotten.
async function notThere(list) {
  const left = [];
  for (const e of list) {
    const state = await deliver(e, false);
    if (state === "there" || state === "gone") await forget(e.key);
    else left.push(e);
  }
  return left;
}

async function remind() {
  const open = document.querySelector("form[data-autosave]")?.dataset.draft; // it says so itself
  const list = (await keptBy(person)).filter((e) => e.draft !== open);
  if (!list.length) return;
  await new Promise((done) => setTimeout(done, 3000)); // the page left may still be saving
  const pages = await openPages();
  const left = await notThere((await keptBy(person)).filter((e) => e.draft !== open && !pages.has(e.page)));
  if (!left.length) return;
  const box = make("div", { className: "notice strong", role: "status" });
  for (const draft of new Set(left.map((e) => e.draft))) {
    const words = count(sum(left.filter((e) => e.draft === draft)), "change");
    box.append(make("p", {}, `Kept on this tablet and not on the salon's computer yet: ${words} to a draft. `, make("a", { href: "/grooms/drafts/" + draft, textContent: "Open the draft" })));
  }
  document.getElementById("main").prepend(box);
}

let leaving = false;

async function leave() {
  if (leaving) return;
  leaving = true;
  try {
    await here.draft?.flush();
    const left = await notThere(await keptBy(person));
    if (left.length || here.draft?.unsaved().words.length) {
      ask(left);
      return;
    }
  } catch { /* nothing can be kept here, so nothing is */ }
  out().catch(() => form.submit());
}

// out signs out. The other tabs are told once it is so: one that asks sooner is
// still answered as the person who leaves.
async function out() {
  const reply = await fetch("/sign-out", { method: "POST", signal: AbortSignal.timeout(8000) });
  if (!reply.ok || !reply.redirected) throw new Error("not signed out");
  here.draft?.stop();
  tellWho("");
  location.assign(reply.url);
}

function ask(left) {
  const result = make("p", { role: "status" });
  const stay = () => {
    leaving = false;
    dialog.close();
    dialog.remove();
  };
  const n = sum(left), words = here.draft?.unsaved().words.length;
  const dialog = make("dialog", { className: "ask" },
    make("h2", { id: "ask-title", textContent: n ? `${count(n, "change")} not on the salon's computer yet` : "Not on the salon's computer yet" }));
  dialog.setAttribute("aria-labelledby", "ask-title");
  if (n) dialog.append(make("p", { textContent: `Kept on this tablet, for you alone, of ${count(new Set(left.map((e) => e.draft)).size, "draft")}.` }));
  if (words) dialog.append(make("p", { textContent: "Notes and names on this page are not kept: signing out loses them." }));
  dialog.append(result, make("p", { className: "actions" },
    button("Send now, then sign out", () => send(result), "primary"),
    button("Keep for me, and sign out", () => signOut(result)),
    button("Delete, and sign out", async () => {
      await here.draft?.drop();
      for (const e of left) await forget(e.key);
      signOut(result);
    }),
    button("Stay signed in", stay)));
  dialog.addEventListener("close", stay);
  document.body.append(dialog);
  dialog.showModal();
}

async function send(result) {
  result.textContent = "Sending…";
  const own = !here.draft || await here.draft.flush();
  const moved = [];
  let unanswered = !own;
  for (const e of await keptBy(person)) {
    const state = await deliver(e, true);
    if (state === "moved") moved.push(e);
    else if (state === "no") unanswered = true;
    else await forget(e.key);
  }
  if (moved.length) {
    result.replaceChildren("Saved elsewhere since, so it is for you to compare: ", make("a", { href: "/grooms/drafts/" + moved[0].draft, textContent: "open the draft" }), ".");
  } else if (unanswered) {
    result.textContent = "The salon's computer did not take it. Try again, or keep it for later.";
  } else {
    signOut(result);
  }
}

// signOut does not leave the page before the salon's computer has answered: on
// the browser's own error page nobody would know that the session goes on.
async function signOut(result) {
  try {
    await out();
  } catch {
    result.textContent = "You are still signed in: the salon's computer did not answer. Try again in a moment.";
  }
}

if (person) {
  tellWho(person);
  addEventListener("pageshow", (event) => { if (event.persisted) tellWho(person); });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    leave();
  });
  remind();
}
