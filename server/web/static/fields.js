// Reads and fills the fields of a form. A field's values are a list of texts,
// as it sends them.

const aside = ["action", "author", "base_version", "client_id", "rows"]; // no entries
const numbers = /^[\d.,:%\s/-]{0,20}(kg)?$/;

// entries are the values of all fields, by name.
export function entries(form) {
  const out = {};
  for (const [name, value] of new FormData(form)) add(out, name, value);
  return out;
}

// given are the values with which the page was made, whatever the browser or a
// quick finger has put into it since.
export function given(form) {
  const out = {};
  for (const c of form.elements) {
    if (c.type === "radio" || c.type === "checkbox") {
      if (c.defaultChecked) add(out, c.name, c.value);
    } else if (c instanceof HTMLSelectElement) {
      const chosen = [...c.options].find((o) => o.defaultSelected) ?? c.options[0];
      if (chosen) add(out, c.name, chosen.value);
    } else if (c instanceof HTMLTextAreaElement) {
      add(out, c.name, c.defaultValue);
    } else if (c instanceof HTMLInputElement) {
      const fresh = document.createElement("input");
      fresh.type = c.type; // a day that cannot be read is shown as none
      fresh.value = c.defaultValue;
      add(out, c.name, fresh.value);
    }
  }
  return out;
}

function add(out, name, value) {
  if (name && !aside.includes(name) && typeof value === "string") (out[name] ??= []).push(value.replace(/\r\n?/g, "\n"));
}

// same reports whether two fields say the same; an empty one and none do.
export function same(a, b) {
  const said = (values) => (values ?? []).filter((v) => v !== "").sort().join("\n");
  return said(a) === said(b);
}

// changes are the fields that say something else than was seen. Those in kept
// are ids, levels, times and numbers; those in words hold text of somebody's own.
export function changes(form, seen) {
  const now = entries(form), controls = byName(form);
  const kept = {}, words = [];
  for (const name of new Set([...Object.keys(now), ...Object.keys(seen)])) {
    if (same(now[name], seen[name])) continue;
    if (mayBeKept(controls[name] ?? [], now[name] ?? [])) kept[name] = now[name] ?? [];
    else words.push(name);
  }
  return { kept, words };
}

function mayBeKept(controls, values) {
  return controls.every((c) => {
    if (c.type === "radio" || c.type === "checkbox" || c instanceof HTMLSelectElement) return true;
    const number = c.type === "hidden" || c.type === "date" || c.type === "time" || c.inputMode === "numeric" || c.inputMode === "decimal";
    return number && values.every((v) => numbers.test(v));
  });
}

function byName(form) {
  const out = {};
  for (const c of form.elements) (out[c.name] ??= []).push(c);
  return out;
}

// put fills fields and unfolds what they stand in. It returns the names of
// those that the form does not have as they were.
export function put(form, values) {
  const controls = byName(form);
  for (const [name, list] of Object.entries(values)) {
    for (const c of controls[name] ?? []) {
      if (c.type === "radio" || c.type === "checkbox") c.checked = list.includes(c.value);
      else c.value = list[0] ?? "";
      c.dispatchEvent(new Event("change", { bubbles: true })); // other parts of the page follow it
      for (let e = c; e; e = e.parentElement) {
        if (e instanceof HTMLDetailsElement) e.open = true;
      }
    }
  }
  const now = entries(form);
  return Object.keys(values).filter((name) => !same(now[name], values[name]));
}

// label is what a field is called on the page.
export function label(form, name) {
  const controls = byName(form)[name] ?? [], c = controls[0];
  const several = c?.type === "radio" || controls.length > 1;
  const from = several ? c.closest("fieldset")?.querySelector("legend") : c?.labels?.[0];
  return (from?.textContent ?? name.replaceAll("_", " ")).replace(/\s+/g, " ").replace("(optional)", "").trim();
}

export function pick(values, names) {
  return Object.fromEntries(names.map((name) => [name, values[name] ?? []]));
}
