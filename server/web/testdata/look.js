// Looks at a page as it is laid out now and tells, in words, what a finger, a
// keyboard, large letters or a particular screen would stumble over. Each
// function returns a list of sentences; an empty list is good.
globalThis.look = (() => {
  const all = (selector, from = document) => [...from.querySelectorAll(selector)];
  const style = (e, part) => getComputedStyle(e, part);
  const say = (e) => {
    const words = (e.getAttribute("aria-label") || e.textContent || e.getAttribute("name") || "").trim().replace(/\s+/g, " ").slice(0, 40);
    return `<${e.tagName.toLowerCase()}${e.id ? "#" + e.id : ""}${typeof e.className === "string" && e.className ? "." + e.className.trim().replace(/\s+/g, ".") : ""}> “${words}”`;
  };
  const shown = (e) => {
    if (!e.checkVisibility({ visibilityProperty: true })) return false;
    const r = e.getBoundingClientRect();
    return r.width > 1 && r.height > 1;
  };
  // Words for screen readers only, and what is put outside the window until it has the focus.
  const heardOnly = (e) => !!e.closest(".vh, .first-button, .skip");
  const scrolls = (e) => /auto|scroll/.test(style(e).overflowX + style(e).overflowY);

  // ---- width and clipping ----

  function overflow() {
    const wide = document.documentElement.scrollWidth;
    if (wide <= innerWidth) return [];
    const out = all("body *").filter((e) => shown(e) && (e.getBoundingClientRect().right > innerWidth + .5 || e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0) && !held(e));
    const deepest = out.filter((e) => !out.some((o) => o !== e && e.contains(o)));
    return [`the page is ${wide} px wide in a window of ${innerWidth}: ${deepest.slice(0, 3).map(say).join(", ")}`];
  }
  const held = (e) => {
    for (let p = e.parentElement; p && p !== document.body; p = p.parentElement) if (style(p).overflowX !== "visible") return true;
    return false;
  };

  function textNodes() {
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const found = [];
    while (walker.nextNode()) {
      const n = walker.currentNode;
      const e = n.parentElement;
      if (n.data.trim() && !/^(SCRIPT|NOSCRIPT|STYLE|OPTION|TEXTAREA|TITLE)$/i.test(e.tagName) && !heardOnly(e) && e.checkVisibility({ visibilityProperty: true })) found.push(n);
    }
    return found;
  }

  // The nearest box round a text that can be seen as one, and so must hold it.
  function frame(e) {
    for (let p = e; p && p !== document.body; p = p.parentElement) {
      const s = style(p);
      if (s.overflowX !== "visible" || s.overflowY !== "visible") return scrolls(p) ? null : p;
      if (s.display === "inline" || s.display === "contents") continue;
      if (rgb(s.backgroundColor)[3] > 0 || s.backgroundImage !== "none" || parseFloat(s.borderLeftWidth) > 0 && rgb(s.borderLeftColor)[3] > 0) return p;
    }
    return null;
  }

  function clipped() {
    const found = [];
    for (const n of textNodes()) {
      if (n.parentElement.closest("svg")) continue;
      const box = frame(n.parentElement);
      const range = document.createRange();
      range.selectNodeContents(n);
      for (const r of range.getClientRects()) {
        if (r.width < 1) continue;
        const at = (box ?? document.documentElement).getBoundingClientRect();
        const left = box ? at.left : 0;
        const right = box ? at.right : Infinity;
        if (r.left < left - 1.5 || r.right > right + 1.5 || box && (r.top < at.top - 3 || r.bottom > at.bottom + 3)) {
          found.push(`“${n.data.trim().slice(0, 30)}” sticks out of ${box ? say(box) : "the page"}`);
          break;
        }
      }
    }
    for (const e of all("body *")) {
      if (heardOnly(e) || e.closest("svg") || !e.textContent.trim() || !shown(e)) continue;
      const s = style(e);
      if (/hidden|clip/.test(s.overflowX) && e.scrollWidth > e.clientWidth + 1 || /hidden|clip/.test(s.overflowY) && e.scrollHeight > e.clientHeight + 1) found.push(`${say(e)} is cut off`);
    }
    return found;
  }

  // ---- targets ----

  const controls = () => all('a[href], button, input:not([type="hidden"]), select, textarea, summary').filter((e) => shown(e) && !e.disabled && !heardOnly(e));
  const target = (e) => (e.closest(".pick") ?? e).getBoundingClientRect();
  // A link among words is as high as its line, and may be.
  const amongWords = (e) => {
    if (e.tagName !== "A" || style(e).display !== "inline") return false;
    let block = e.parentElement;
    while (style(block).display === "inline") block = block.parentElement;
    return block.textContent.trim().length > e.textContent.trim().length;
  };

  function targets() {
    const found = [];
    for (const e of controls()) {
      if (amongWords(e)) continue;
      const r = target(e);
      const [wide, high] = e.closest(".table-side, .sign form") ? [48, 56] : [24, 24];
      if (r.width < wide - .5 || r.height < high - .5) found.push(`${say(e)} is ${r.width.toFixed(0)} × ${r.height.toFixed(0)} px, needs ${wide} × ${high}`);
    }
    return found;
  }

  // ---- focus ----

  // The stops of the Tab key, in order.
  function stops() {
    const groups = new Set();
    return all('a[href], button, input:not([type="hidden"]), select, textarea, summary, [tabindex]').filter((e) => {
      if (e.tabIndex < 0 || e.disabled || !e.checkVisibility({ visibilityProperty: true })) return false;
      if (e.type !== "radio") return true;
      const group = all(`input[type="radio"][name="${CSS.escape(e.name)}"]`, e.form ?? document);
      const one = group.find((o) => o.checked) ?? group[0];
      if (one !== e || groups.has(one)) return false;
      groups.add(one);
      return true;
    });
  }

  const related = (hit, e) => hit && (hit === e || e.contains(hit) || hit.contains(e) && style(e).display === "inline" || e.closest(".pick") && hit.closest(".pick") === e.closest(".pick"));

  // What the focus lands on must not lie under a bar that stays in place: its
  // left, its top and its bottom are looked at. A text scrolls to where it is
  // written, so one of them is enough.
  function hidden(e) {
    const r = e.closest(".pick") ? target(e) : e.getClientRects()[0];
    if (!r || r.height > innerHeight * .6 || r.width > innerWidth) return null;
    // The lines of a text that wraps may lap over one another at their edges.
    const inside = style(e).display === "inline" ? r.height / 4 : Math.min(3, r.width / 4, r.height / 4);
    const under = [[r.left + inside, r.top + r.height / 2], [r.left + r.width / 2, r.top + inside], [r.left + r.width / 2, r.bottom - inside]]
      .map(([x, y]) => [x, y, document.elementFromPoint(x, y)]).filter(([, , hit]) => !related(hit, e));
    if (under.length === 0 || e.matches("textarea") && under.length < 3) return null;
    const [x, y, hit] = under[0];
    return `${say(e)} has the focus at ${x.toFixed(0)}, ${y.toFixed(0)} under ${hit ? say(hit) : "the edge of the window"}`;
  }

  function focused(back) {
    const found = [];
    const order = stops();
    if (back) order.reverse();
    scrollTo(0, back ? document.documentElement.scrollHeight : 0);
    for (const e of order) {
      e.focus();
      if (document.activeElement !== e) found.push(`${say(e)} does not take the focus`);
      const under = hidden(e);
      if (under) found.push(under);
    }
    document.activeElement?.blur();
    scrollTo(0, 0);
    return [...new Set(found)];
  }

  function rings() {
    const found = new Set();
    for (const e of stops()) {
      e.focus({ preventScroll: true });
      const ring = poorRing(e);
      if (ring) found.add(ring);
    }
    document.activeElement?.blur();
    return [...found];
  }

  // Puts the focus where the page begins, and tells afterwards where the Tab key
  // has got to among the stops. A date is several stops in one.
  const begin = () => { scrollTo(0, 0); stops()[0].focus(); return true; };
  const at = () => stops().indexOf(document.activeElement);
  const where = () => say(document.activeElement ?? document.body);
  const parts = () => { const type = document.activeElement?.type; return type === "date" || type === "time" ? 4 : 1; };

  // ---- colour ----

  function rgb(text) {
    const m = text.match(/^rgba?\(([^)]+)\)$/);
    if (m) {
      const n = m[1].split(/[,/\s]+/).map(Number);
      return [n[0], n[1], n[2], n[3] ?? 1];
    }
    const f = text.match(/^color\(srgb ([^)]+)\)$/);
    if (f) {
      const n = f[1].split(/[/\s]+/).map(Number);
      return [n[0] * 255, n[1] * 255, n[2] * 255, n[3] ?? 1];
    }
    throw new Error("a colour that is not known: " + text);
  }
  const over = (a, b) => [0, 1, 2].map((i) => a[i] * a[3] + b[i] * (1 - a[3])).concat(1);
  // Relative luminance and contrast ratio: WCAG 2.2, definitions.
  function light(c) {
    const [r, g, b] = c.map((v) => (v /= 255) <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4);
    return .2126 * r + .7152 * g + .0722 * b;
  }
  function ratio(a, b) {
    const [x, y] = [light(a), light(b)];
    return (Math.max(x, y) + .05) / (Math.min(x, y) + .05);
  }
  // The colours that may lie behind an element: one, or those of a pattern.
  function behind(e) {
    if (!e || e === document.documentElement) return [over(rgb(style(document.documentElement).backgroundColor), rgb(style(document.body).backgroundColor)[3] ? rgb(style(document.body).backgroundColor) : [255, 255, 255, 1])];
    const s = style(e);
    const image = s.backgroundImage.match(/rgba?\([^)]+\)/g);
    if (image) return image.map(rgb).map((c) => over(c, behind(e.parentElement)[0]));
    const own = rgb(s.backgroundColor);
    if (own[3] === 1) return [own];
    return behind(e.parentElement).map((c) => over(own, c));
  }
  const worst = (colour, grounds) => Math.min(...grounds.map((g) => ratio(over(colour, g), g)));

  function faint(normal, large) {
    const found = new Map();
    for (const n of textNodes()) {
      const e = n.parentElement;
      const s = style(e);
      const size = parseFloat(s.fontSize);
      const least = size >= 24 || size >= 18.66 && parseInt(s.fontWeight) >= 700 ? large : normal;
      const svg = e.closest("svg");
      const c = worst(rgb(svg ? s.fill : s.color), behind(svg ? svg.parentElement : e));
      if (c < least - .005) found.set(style(e).color + say(e.closest("[class]") ?? e), `“${n.data.trim().slice(0, 30)}” in ${say(e)} has contrast ${c.toFixed(2)}, needs ${least}`);
    }
    return [...found.values()];
  }

  // The edge or the ground of a control tells it from what is round it.
  function edges(least) {
    const found = [];
    for (const e of all("input:not([type=hidden]), select, textarea, button, .button, .pick > label")) {
      if (!shown(e) || heardOnly(e) || e.matches(".quiet-link, .pick > input")) continue;
      const s = style(e);
      const outer = behind(e.parentElement);
      const border = parseFloat(s.borderTopWidth) >= 1 && s.borderTopStyle !== "none" ? worst(rgb(s.borderTopColor), outer) : 1;
      const ground = Math.min(...behind(e).map((g) => worst(g, outer)));
      if (Math.max(border, ground) < least) found.push(`the edge of ${say(e)} has contrast ${Math.max(border, ground).toFixed(2)}, needs ${least}`);
      if (!e.matches(".pick > label")) continue;
      const mark = style(e, "::before");
      if (mark.display === "none") continue;
      const c = worst(rgb(mark.borderTopColor), behind(e));
      if (c < least) found.push(`the mark of ${say(e)} has contrast ${c.toFixed(2)}, needs ${least}`);
    }
    return found;
  }

  // How the ring of the focus stands out; null when it does.
  function poorRing(e) {
    const ringed = e.matches(".pick > input") ? e.parentElement.querySelector("label") : e;
    const s = style(ringed);
    const wide = parseFloat(s.outlineWidth);
    if (s.outlineStyle === "none" || wide < 2) return `${say(e)} shows no ring when it has the focus`;
    const grounds = parseFloat(s.outlineOffset) < 0 ? behind(ringed) : behind(ringed.parentElement);
    const c = worst(rgb(s.outlineColor), grounds);
    return c < 3 ? `the ring of ${say(e)} has contrast ${c.toFixed(2)}, needs 3` : null;
  }

  // In colours that are the reader's own, shapes have to do what shades did.
  function forced() {
    const found = edges(3);
    for (const e of all(".standing, .swatch")) {
      if (shown(e) && !e.querySelector("svg")) found.push(`${say(e)} has no shape`);
    }
    for (const e of all(".pick > input:checked + label")) {
      const mark = style(e, "::before");
      const plain = all(".pick > input:not(:checked) + label").find((o) => shown(o));
      if (shown(e) && plain && style(plain).borderTopWidth === style(e).borderTopWidth && style(plain, "::before").borderTopWidth === mark.borderTopWidth) found.push(`${say(e)} does not look chosen`);
    }
    return found;
  }

  // ---- what it is made of ----

  function structure() {
    const found = [];
    const headings = all("h1, h2, h3, h4, h5, h6").filter((e) => e.checkVisibility());
    const tops = headings.filter((e) => e.tagName === "H1").length;
    if (tops !== 1) found.push(`${tops} headings of the first level`);
    // The list of problems stands above the title of its page.
    headings.reduce((last, e) => {
      const level = Number(e.tagName[1]);
      if (level > last + 1) found.push(`${say(e)} skips a level`);
      return level;
    }, 1);
    const ids = new Set();
    for (const e of all("[id]")) {
      if (ids.has(e.id)) found.push(`the id ${e.id} stands twice`);
      ids.add(e.id);
    }
    for (const e of all("[title]")) found.push(`${say(e)} has words that only a mouse finds`);
    if (!document.documentElement.lang) found.push("no language is named");
    return found;
  }

  return { overflow, clipped, targets, stops: () => stops().length, focused, rings, begin, at, where, parts, faint, edges, forced, structure };
})();
true;
