// What the tabs of one browser tell each other: who is signed in, and which
// pages are still open. Nothing that was entered passes between them.

const channel = "BroadcastChannel" in globalThis ? new BroadcastChannel("tablehand") : null;

// here.draft is what the marking form of this page lets others do with it;
// null on every other page.
export const here = { draft: null };

export const canMakeIds = typeof globalThis.crypto?.getRandomValues === "function";

// An id that nobody else makes: 128 random bits, in hex.
export function newId() {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");
}

// tellWho says who is signed in; "" when somebody has just signed out.
export function tellWho(person) {
  channel?.postMessage({ person });
}

export function onWho(hear) {
  channel?.addEventListener("message", ({ data }) => { if (typeof data.person === "string") hear(data.person); });
}

// answerFor makes a page known as long as it is open.
export function answerFor(page) {
  channel?.addEventListener("message", ({ data }) => { if (data.ask) channel.postMessage({ open: page }); });
}

// openPages are the other pages that are open. One that sleeps does not answer;
// its saves then meet a newer version, and nothing is overwritten.
export function openPages() {
  const found = new Set();
  if (!channel) return Promise.resolve(found);
  const hear = ({ data }) => { if (data.open) found.add(data.open); };
  channel.addEventListener("message", hear);
  channel.postMessage({ ask: true });
  return new Promise((done) => setTimeout(() => {
    channel.removeEventListener("message", hear);
    done(found);
  }, 300));
}
