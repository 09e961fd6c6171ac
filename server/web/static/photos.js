// Makes photos smaller on the device before they are sent, one after the other,
// and says in words how far it is. Without this file the form sends them as they
// are, and the salon's computer makes them smaller.

const form = document.querySelector("form[data-photos]");
const status = document.getElementById("photo-status");

if (form && status && "createImageBitmap" in window) {
  const longEdge = 1600; // px, as the salon's computer keeps them
  const quality = 0.85;
  const ids = new WeakMap(); // a photo sent again is known by the same id
  const saved = new WeakSet();
  let busy = false;

  for (const input of form.querySelectorAll('input[type="file"]:not([capture])')) input.multiple = true;

  const chosen = () => [...form.querySelectorAll('input[type="file"]')].flatMap((input) => [...input.files]);
  const say = (words) => { status.textContent = words; };

  function idOf(file) {
    if (!ids.has(file)) {
      const bytes = crypto.getRandomValues(new Uint8Array(16));
      ids.set(file, [...bytes].map((b) => b.toString(16).padStart(2, "0")).join(""));
    }
    return ids.get(file);
  }

  // The picture, upright, on white, as JPEG. A file that the browser cannot read
  // goes as it is: the answer says what is wrong with it.
  async function smaller(file) {
    let bitmap;
    try {
      bitmap = await createImageBitmap(file);
    } catch {
      return file;
    }
    const scale = Math.min(1, longEdge / Math.max(bitmap.width, bitmap.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(bitmap.width * scale));
    canvas.height = Math.max(1, Math.round(bitmap.height * scale));
    const pen = canvas.getContext("2d");
    pen.fillStyle = "#fff";
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.imageSmoothingQuality = "high";
    pen.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
    bitmap.close();
    return await new Promise((done) => canvas.toBlob((blob) => done(blob ?? file), "image/jpeg", quality));
  }

  // What an answer means for whoever sent the photo; empty when it was saved.
  async function send(photo, id, kind) {
    const data = new FormData();
    data.set("client_id", id);
    data.set("author", form.elements.author.value); // whose page this is
    data.set("kind", kind);
    data.set("file", photo, "photo.jpg");
    let reply;
    let page;
    try {
      reply = await fetch(form.getAttribute("action"), { method: "POST", body: data, signal: AbortSignal.timeout(60000) });
      page = new DOMParser().parseFromString(await reply.text(), "text/html");
    } catch {
      return "the salon's computer did not answer. Press the button again to go on.";
    }
    const list = page.getElementById("photos");
    if (list) document.getElementById("photos").replaceWith(list);
    if (reply.ok) return "";
    if (reply.status === 401 || reply.status === 403) return "you are no longer signed in. Sign in in another tab, then press the button again.";
    if (reply.status === 413) return "it is larger than 12 megabytes. Choose a lower resolution in the camera's settings.";
    return page.querySelector("#problems li")?.textContent.trim() || "something went wrong on the salon's computer. Press the button again.";
  }

  async function sendAll(kind) {
    const files = chosen().filter((file) => !saved.has(file));
    const failed = [];
    for (const [i, file] of files.entries()) {
      const which = files.length > 1 ? `photo ${i + 1} of ${files.length}` : "the photo";
      say(`Making ${which} smaller`);
      const photo = await smaller(file);
      say(`Sending ${which}`);
      const problem = await send(photo, idOf(file), kind);
      if (problem) failed.push(`${file.name}: ${problem}`);
      else saved.add(file);
    }
    const done = files.length - failed.length;
    const words = done === 1 ? "1 photo saved." : `${done} photos saved.`;
    say(failed.length ? `${done ? words : ""} Not saved: ${failed.join(" ")}`.trim() : words);
    if (failed.length === 0) {
      for (const input of form.querySelectorAll('input[type="file"]')) input.value = "";
    }
  }

  form.addEventListener("submit", async (event) => {
    if (chosen().length === 0) return; // the answer says what is missing
    event.preventDefault();
    if (busy) return;
    busy = true;
    await sendAll(event.submitter?.value ?? "");
    busy = false;
  });
}
