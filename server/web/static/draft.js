// Saves a draft two seconds after the last change, and when the page is put
// away, and shows the result so far as the salon's computer works it out. What
// it does not have yet is kept on this tablet and sent again by itself; words
// say where things stand. Without this file the Save button does the same.

import { changes, entries, given, label, pick, put, same } from "./fields.js";
import { forget, keep, keptBy } from "./keep.js";
import { answerFor, canMakeIds, here, newId, onWho, openPages } from "./tabs.js";
import { button, count, make } from "./words.js";

const form = document.querySelector("form[data-autosave]");
const status = document.getElementById("save-status");
const notices = document.getElementById("kept");

const pause = 2; // seconds after the last change
const waits = [1, 2, 5, 15, 30]; // seconds between tries without an answer
const patience = 8000; // milliseconds for an answer
// A request that outlives its page may carry 64 KB at most, with room here
// for its headers; letters outside ASCII take six to twelve bytes each.
const outliveBytes = 60000;

// What ends saving by itself, and what to do then.
const ends = {
  404: "Needs you: this draft was discarded in another window. What stands here is not saved.",
  409: "Needs you: this draft was saved in another window. Press Save draft to see both versions.",
  410: "Needs you: this groom was signed in another window. What you changed here after that is not in it.",
};

let person, draft, page, key; // whose form this is, of which draft, and this page of it
let loaded; // the version the page was made from
let seen; // what the salon's computer has
let save; // the id of a save until it is answered; each try has a higher number
let tries = 0;
let timer = 0;
let failures = 0;
let sending = null; // the try under way
let storing = Promise.resolve(), stored = "", refused = false, holding = 0; // what is kept on this tablet
let away = false; // the form's person is not signed in, as far as is known
let stopped = false; // it does not send by itself any longer
let keeping = true; // there is still a draft to keep something for
let waiting = false; // a button was pressed while something was not saved
let passing = false; // what the button does is on its way

function begin() {
  person = form.elements.author.value;
  draft = form.dataset.draft;
  page = newId();
  key = `${person}/${draft}/${page}`;
  loaded = form.elements.base_version.value;
  seen = given(form);
  save = newId();
  form.addEventListener("input", touched);
  form.addEventListener("change", touched);
  form.addEventListener("submit", submitted);
  addEventListener("online", retry);
  addEventListener("focus", retry);
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "hidden") {
      retry();
    } else if (!passing && pending()) {
      hold();
      if (!away) trySave();
    }
  });
  addEventListener("pageshow", (event) => { if (event.persisted) lookAgain(); });
  addEventListener("beforeunload", (event) => { if (!stopped && (failures || away) && changes(form, seen).words.length) event.preventDefault(); });
  onWho(heard);
  answerFor(page);
  here.draft = { flush, stop, drop, unsaved: () => changes(form, seen) };
  if (pending()) touched(); // a finger, or the browser, was quicker than this file
  takeUp();
}

const clock = () => new Date().toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });

function pending() {
  const { kept, words } = changes(form, seen);
  return words.length > 0 || Object.keys(kept).length > 0;
}

// Words, and what goes with them.

const tryNow = button("Try now", trySave);
const signInLink = () => make("a", { href: "/sign-in", target: "_blank", className: "button", textContent: "Sign in" });
const signIn = signInLink();
let savedWords = status?.textContent;

function say(state, words) {
  if (!tryNow.isConnected) status.after(tryNow, signIn);
  if (status.dataset.save !== state) status.dataset.save = state;
  if (status.textContent !== words) status.textContent = words;
  tryNow.hidden = state !== "kept" && !away;
  signIn.hidden = !away;
}

function keptWords() {
  const { kept, words } = changes(form, seen);
  const n = Object.keys(kept).length;
  if (refused) return "Not kept: this tablet has no room left, or does not allow it. Keep this page open.";
  if (n && words.length) return `Kept on this tablet (${count(n, "change")}); notes only while this page is open.`;
  if (n) return `Kept on this tablet (${count(n, "change")}).`;
  return words.length ? "Not kept: notes stay only while this page is open." : "";
}

function notice(words, ...buttons) {
  const box = make("div", { className: "notice strong" }, make("p", { textContent: words }));
  if (buttons.length) box.append(make("p", { className: "actions" }, ...buttons));
  notices.append(box);
  return box;
}

// Keeping.

function touched() {
  holding ||= setTimeout(hold, 50); // a touch is answered first
  if (stopped || away || failures) return; // the next try is set
  say("saving", "Saving…");
  later(pause);
}

// hold keeps what was changed and not acknowledged, before it is sent: a page
// can be gone before its try has failed.
function hold() {
  clearTimeout(holding);
  holding = 0;
  if (!keeping) return storing;
  const { kept } = changes(form, seen);
  const entry = { key, person, draft, page, base: form.elements.base_version.value, save, changes: kept };
  const now = JSON.stringify(entry);
  if (now === stored) return storing;
  stored = now;
  entry.at = Date.now();
  storing = storing.then(() => Object.keys(kept).length ? keep(entry) : forget(key)).then(() => { refused = false; }, () => {
    refused = true;
    stored = ""; // there may be room the next time
  });
  return storing;
}

// Sending.

function later(seconds) {
  clearTimeout(timer);
  timer = setTimeout(trySave, seconds * 1000);
}

function retry() {
  if (failures || away) trySave();
}

// trySave sends what was changed, one try at a time, and reports whether the
// salon's computer has all of it.
async function trySave() {
  clearTimeout(timer);
  if (stopped) return false;
  if (!sending) {
    sending = send().finally(() => { sending = null; });
  }
  return sending;
}

async function send() {
  if (away && !(await signedIn())) {
    later(waits.at(-1));
    return false;
  }
  back();
  if (!pending()) return true;
  const sent = entries(form);
  const data = new URLSearchParams(new FormData(form));
  tries = Math.max(tries + 1, Date.now());
  data.set("action", "autosave");
  data.set("save_id", save);
  data.set("save_try", tries);
  const body = data.toString(); // percent-encoded: one byte for each character
  let reply, saved;
  try {
    reply = await fetch(form.getAttribute("action"), { // the buttons are called "action", so form.action is not the address
      method: "POST", body, headers: { "Content-Type": "application/x-www-form-urlencoded;charset=UTF-8" },
      keepalive: document.visibilityState === "hidden" && body.length < outliveBytes, redirect: "error", signal: AbortSignal.timeout(patience),
    });
    if (reply.ok) saved = await reply.json();
  } catch {
    return unanswered("No answer; trying again.");
  }
  return saved ? acknowledged(sent, saved) : refusedWith(reply.status);
}

function acknowledged(sent, saved) {
  seen = sent;
  form.elements.base_version.value = saved.version;
  save = newId();
  failures = 0;
  hold();
  for (const part of document.querySelectorAll("[data-so-far]")) {
    part.textContent = saved.so_far[part.dataset.soFar] ?? "";
  }
  if (pending()) {
    later(pause);
    return false;
  }
  savedWords = "Saved " + clock();
  say("saved", savedWords);
  return true;
}

async function unanswered(why) {
  failures++;
  await hold();
  if (stopped) return false;
  say("kept", `${keptWords()} ${why}`);
  later(waits[Math.min(failures, waits.length) - 1]);
  return false;
}

async function refusedWith(code) {
  if (ends[code]) {
    stop();
    if (code !== 409) forgetMine();
    say("needs", ends[code]);
  } else if (code === 413) {
    failures = 0; // sending the same again would not help
    say("needs", "Needs you: this is too long to save. Shorten the longest note.");
  } else if (code === 401) {
    away = true;
    await hold();
    say("needs", `Needs you: you are no longer signed in. ${keptWords()} Sign in in another tab; saving then goes on by itself.`);
    later(waits.at(-1));
  } else if (code === 403) {
    leave("Somebody else is signed in on this tablet now.");
  } else {
    return unanswered("The salon's computer has a fault; trying again.");
  }
  return false;
}

// Who is signed in.

// signedIn asks without sending anything of the form.
async function signedIn() {
  try {
    const reply = await fetch(form.getAttribute("action"), { method: "HEAD", redirect: "manual", signal: AbortSignal.timeout(patience) });
    return reply.status === 200;
  } catch {
    return false;
  }
}

// leave puts the form out of sight. It stays in the page, and comes back with
// its person.
function leave(why) {
  away = true;
  hold();
  say("needs", "Needs you: " + why);
  document.body.classList.add("covered");
  notices.replaceChildren();
  notice(`${why} What was entered here is not shown or sent. It comes back by itself once the person who entered it signs in, in another tab.`, signInLink());
  later(waits.at(-1));
}

function back() {
  if (!away) return;
  away = false;
  if (document.body.classList.contains("covered")) {
    document.body.classList.remove("covered");
    notices.replaceChildren();
  }
  if (!pending()) say("saved", savedWords || "Nothing to save yet");
}

function heard(who) {
  if (stopped) return;
  if (who === person) {
    if (away) {
      back();
      trySave();
    }
  } else {
    leave(who ? "Somebody else is signed in on this tablet now." : "Nobody is signed in on this tablet now.");
  }
}

function lookAgain() {
  passing = waiting = stopped = false;
  leave("Looking who is signed in.");
  trySave();
}

// Buttons. Nothing of the form leaves the page by a button before the rest of
// it is saved: a page that does not arrive would take it along.

function submitted(event) {
  if (passing) return;
  if (event.submitter?.hasAttribute("formaction")) { // discarded: nothing of it is wanted
    drop();
    return;
  }
  if (stopped || !sending && !away && !pending()) {
    stop();
    return;
  }
  event.preventDefault();
  if (waiting) return;
  waiting = true;
  flush().then((saved) => {
    waiting = false;
    if (saved || stopped) {
      stop();
      passing = true;
      form.requestSubmit(event.submitter);
    } else {
      say(status.dataset.save, "Not done yet. " + status.textContent.replace("Not done yet. ", ""));
    }
  });
}

// flush sends what there is and waits until nothing more is on its way.
async function flush() {
  let saved = !pending() && !away;
  for (let i = 0; i < 3 && !saved && !stopped; i++) {
    if (sending) await sending;
    saved = await trySave();
    if (failures || away) break;
  }
  await hold();
  return saved;
}

function stop() {
  stopped = true;
  clearTimeout(timer);
}

function drop() {
  stop();
  return forgetMine();
}

function forgetMine() {
  keeping = false;
  storing = storing.then(() => forget(key));
  return storing;
}

// What earlier pages of this draft kept.

async function takeUp() {
  const mine = (await keptBy(person)).filter((e) => e.draft === draft && e.key !== key);
  if (!mine.length) return;
  const open = await openPages();
  for (const e of mine) {
    if (open.has(e.page) || stopped) continue;
    const names = Object.keys(e.changes).filter((n) => !same(e.changes[n], seen[n]));
    if (!names.length) await forget(e.key);
    else if (e.base === loaded || e.save === form.dataset.savedAs) await putBack(e, names);
    else offerBoth(e, names);
  }
}

async function putBack(e, names) {
  const now = entries(form);
  names = names.filter((n) => same(now[n], seen[n])); // not what was changed on this page already
  const before = pick(seen, names);
  const lost = put(form, pick(e.changes, names));
  save = e.save; // a try of that page may still be on its way
  await hold();
  if (!refused) await forget(e.key);
  touched();
  const words = list(names.filter((n) => !lost.includes(n)));
  const box = notice(`Put back from this tablet, because the salon's computer did not have it: ${count(names.length - lost.length, "change")} (${words}).` +
    (lost.length ? ` This form no longer has: ${list(lost)}.` : ""), button("Do not use them", () => {
    put(form, before);
    touched();
    box.replaceChildren(make("p", { textContent: "Taken out again: the draft is as the salon's computer had it." }));
  }));
}

function list(names) { return names.map((n) => label(form, n)).join("; "); }

function offerBoth(e, names) {
  const box = notice(`This draft was saved elsewhere since. Not in it, and kept on this tablet: ${count(names.length, "change")} (${list(names)}).`,
    button("See both versions", async () => {
      if (!(await flush()) || !(await signedIn())) {
        box.append(make("p", { textContent: "No answer from the salon's computer. Try again in a moment." }));
        return;
      }
      stop();
      passing = true;
      put(form, pick(e.changes, names));
      form.elements.base_version.value = e.base;
      form.requestSubmit(form.querySelector('button[name="action"][value="save"]'));
    }),
    button("Delete them", async () => {
      await forget(e.key);
      box.remove();
    }));
}

if (form && status && notices) {
  if (canMakeIds) begin();
  else say("needs", "This browser is too old to save by itself. Press Save draft often.");
}
