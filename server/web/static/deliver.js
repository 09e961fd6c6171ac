// Brings an entry kept on this tablet to the salon's computer without its page.

import { entries, pick, put, same } from "./fields.js";

// deliver puts an entry into the draft as it stands now. Without write it only
// looks. It returns
//   "there"    the draft says so already
//   "sent"     it does now
//   "waiting"  it can be sent
//   "moved"    the draft was saved elsewhere since: somebody has to compare
//   "gone"     the draft was signed or discarded
//   "no"       there was no answer, or one for somebody else
export async function deliver(entry, write) {
  const at = "/grooms/drafts/" + entry.draft;
  try {
    const page = await fetch(at, { signal: AbortSignal.timeout(8000) });
    const came = new URL(page.url).pathname;
    if (page.status === 404 || came.startsWith("/grooms/signed/")) return "gone";
    if (!page.ok || came !== at) return "no";
    const form = new DOMParser().parseFromString(await page.text(), "text/html").querySelector("form[data-autosave]");
    if (form?.elements.author.value !== entry.person) return "no";
    const now = entries(form);
    const names = Object.keys(entry.changes).filter((n) => !same(entry.changes[n], now[n]));
    if (!names.length) return "there";
    if (form.elements.base_version.value !== entry.base && form.dataset.savedAs !== entry.save) return "moved";
    if (!write) return "waiting";
    if (put(form, pick(entry.changes, names)).length) return "moved";
    return await post(form, entry, at);
  } catch {
    return "no";
  }
}

async function post(form, entry, at) {
  const data = new URLSearchParams(new FormData(form));
  data.set("action", "autosave");
  data.set("save_id", entry.save);
  data.set("save_try", Date.now());
  const reply = await fetch(at, { method: "POST", body: data, redirect: "error", signal: AbortSignal.timeout(8000) });
  return { 200: "sent", 404: "gone", 409: "moved", 410: "gone" }[reply.status] ?? "no";
}
