"use strict";
/*
 * Glossary:
 *   thing: a shape on an elevation that can be pointed at (mark of a finding, joint, proposed change, panel, opening).
 *   row: its line in a table; both carry the same key.
 *   place: where a row's lamp is: its thing, or its wall's figure when the finding has no point on it.
 *   chosen: the one key whose place and row are lit; at most one.
 */
(() => {
  const page = document.documentElement;
  const things = new Map([...document.querySelectorAll(".thing")].map((t) => [t.dataset.row, t]));
  const buttons = new Map([...document.querySelectorAll(".choose")].map((b) => [b.dataset.key, b]));
  const stage = document.getElementById("stage");
  const said = document.getElementById("said");
  const tip = document.getElementById("tip");
  let chosen = null;

  const rowOf = (key) => document.getElementById(`row-${key}`);
  const placeOf = (key) => things.get(key) ?? document.getElementById(rowOf(key)?.dataset.wall ?? "");
  const nameOf = (key) => things.get(key)?.getAttribute("aria-label") ?? buttons.get(key)?.getAttribute("aria-label") ?? key;

  /* Choosing */
  function choose(key, reveal) {
    const next = key === chosen ? null : key;
    for (const old of [chosen, next]) if (old) light(old, old === next);
    keep(next, rowOf(next ?? chosen));
    chosen = next;
    said.textContent = next ? `Chosen: ${nameOf(next)}` : "Nothing chosen.";
    if (next && reveal) reveal(next);
  }
  // While something is chosen the elevations stay in view, in a box of their own; else they stand whole on the
  // page. What is read must not move when that changes.
  function keep(next, row) {
    if (page.classList.contains("choosing") === Boolean(next)) return;
    const held = !next && document.activeElement !== document.body ? document.activeElement : row;
    const before = held?.getBoundingClientRect().top;
    page.classList.toggle("choosing", Boolean(next));
    if (held) window.scrollBy({ top: held.getBoundingClientRect().top - before, behavior: "instant" });
    if (!next) return;
    if (stays()) row.scrollIntoView({ block: "nearest", behavior: "instant" });
    showThing(next);
  }
  const stays = () => getComputedStyle(stage).position === "sticky";
  function light(key, on) {
    placeOf(key)?.classList.toggle("lit", on);
    things.get(key)?.setAttribute("aria-pressed", String(on));
    rowOf(key)?.classList.toggle("lit", on);
    buttons.get(key)?.setAttribute("aria-pressed", String(on));
  }
  function showThing(key) {
    const place = placeOf(key);
    if (!place) return;
    const figure = place.closest("figure");
    const spot = place.querySelector(".place, .bubble, .sign, .hole, h3") ?? place;
    if (!stays()) figure.scrollIntoView({ block: "nearest" });
    else if (!within(figure, stage)) bring(figure.offsetHeight < stage.clientHeight ? figure : spot, stage);
    bring(spot, figure.querySelector(".picture"));
  }
  function within(inner, outer) {
    const [i, o] = [inner.getBoundingClientRect(), outer.getBoundingClientRect()];
    return i.top >= o.top && i.bottom <= o.bottom;
  }
  // The page itself must not jump: only what holds the elevations scrolls.
  function bring(inner, outer) {
    const [i, o] = [inner.getBoundingClientRect(), outer.getBoundingClientRect()];
    if (i.top < o.top || i.bottom > o.bottom) outer.scrollTop += i.top - o.top - Math.max(0, (o.height - i.height) / 2);
    if (i.left < o.left || i.right > o.right) outer.scrollLeft += i.left - o.left - (o.width - i.width) / 2;
  }
  const showRow = (key) => rowOf(key)?.scrollIntoView({ block: "nearest" });

  /* Numbers beside what is pointed at */
  function tell(thing) {
    const key = thing.dataset.row;
    thing.classList.add("looked");
    tip.replaceChildren(...particulars(key));
    tip.hidden = false;
    thing.setAttribute("aria-describedby", "tip");
    const spot = (thing.querySelector(".flag, .bubble, .sign") ?? thing).getBoundingClientRect();
    const left = Math.min(Math.max(8, spot.right + 10), window.innerWidth - tip.offsetWidth - 8);
    const below = spot.bottom + 10 + tip.offsetHeight < window.innerHeight;
    tip.style.left = `${left}px`;
    tip.style.top = `${Math.max(8, below ? spot.bottom + 10 : spot.top - tip.offsetHeight - 10)}px`;
  }
  function particulars(key) {
    const head = document.createElement("strong");
    head.textContent = nameOf(key).split(/[;,] /)[0];
    const list = document.createElement("dl");
    for (const cell of rowOf(key)?.querySelectorAll("[data-tip]") ?? []) {
      const text = cell.textContent.replace(/\s+/g, " ").trim();
      if (!text) continue;
      const label = document.createElement("dt");
      const value = document.createElement("dd");
      label.textContent = cell.dataset.tip;
      value.textContent = text;
      list.append(label, value);
    }
    return [head, list];
  }
  function hush(thing) {
    thing?.classList.remove("looked");
    thing?.removeAttribute("aria-describedby");
    tip.hidden = true;
  }

  /* Elevations: one stop of the Tab key each, arrow keys inside */
  const order = ["mark", "joint", "proposal", "opening", "panel"];
  const reading = (holder) =>
    order.flatMap((kind) => [...holder.querySelectorAll(`.thing.${kind}`)]).filter((t) => !t.classList.contains("sifted"));
  function stopAt(holder, thing) {
    for (const other of holder.querySelectorAll(".thing")) other.setAttribute("tabindex", other === thing ? "0" : "-1");
  }
  function walk(event, holder) {
    const all = reading(holder);
    const here = all.indexOf(event.target.closest(".thing"));
    const steps = { ArrowRight: here + 1, ArrowDown: here + 1, ArrowLeft: here - 1, ArrowUp: here - 1, Home: 0, End: all.length - 1 };
    if (!(event.key in steps) || !all.length) return;
    event.preventDefault();
    const next = all[(steps[event.key] + all.length) % all.length];
    stopAt(holder, next);
    next.focus();
  }
  for (const holder of document.querySelectorAll(".things")) {
    holder.setAttribute("role", "toolbar");
    for (const thing of holder.querySelectorAll(".thing")) {
      thing.setAttribute("role", "button");
      thing.setAttribute("aria-pressed", "false");
    }
    stopAt(holder, reading(holder)[0]);
    holder.addEventListener("keydown", (event) => {
      const thing = event.target.closest(".thing");
      if (thing && (event.key === "Enter" || event.key === " ")) {
        event.preventDefault();
        choose(thing.dataset.row, showRow);
      } else walk(event, holder);
    });
    holder.addEventListener("click", (event) => {
      const thing = event.target.closest(".thing");
      if (thing) choose(thing.dataset.row, showRow);
    });
    // Listeners for the focus stand outside the picture: on a shape they would make a tab stop of it.
    const frame = holder.closest(".picture");
    for (const [on, off] of [["mouseover", "mouseout"], ["focusin", "focusout"]]) {
      frame.addEventListener(on, (event) => { const t = event.target.closest(".thing"); if (t) tell(t); });
      frame.addEventListener(off, (event) => hush(event.target.closest(".thing")));
    }
  }

  /* Rows */
  for (const table of document.querySelectorAll("table.chosen-from")) {
    table.addEventListener("click", (event) => {
      if (event.target.closest("a, thead")) return;
      const button = event.target.closest("tr")?.querySelector(".choose");
      if (button) choose(button.dataset.key, showThing);
    });
    table.addEventListener("keydown", (event) => {
      const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
      if (!step || !event.target.matches(".choose")) return;
      const all = [...table.querySelectorAll("tbody tr:not([hidden]) .choose")];
      event.preventDefault();
      all[all.indexOf(event.target) + step]?.focus();
    });
  }
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    tip.hidden = true;
    if (chosen) choose(chosen);
  });

  /* Sorting */
  const findings = document.getElementById("findings-table");
  const body = findings?.tBodies[0];
  function sortBy(head) {
    const heads = [...head.parentElement.children];
    const column = heads.indexOf(head);
    const falling = head.getAttribute("aria-sort") === "ascending";
    for (const other of heads) other.removeAttribute("aria-sort");
    head.setAttribute("aria-sort", falling ? "descending" : "ascending");
    const value = (row) => {
      const cell = row.cells[column];
      if (head.dataset.sort === "text") return cell.textContent.trim();
      return cell.dataset.value === "" ? null : Number(cell.dataset.value);
    };
    const compare = (a, b) => {
      const [x, y] = [value(a), value(b)];
      if (x === null || y === null) return (x === null) - (y === null);
      const by = typeof x === "string" ? x.localeCompare(y, undefined, { numeric: true }) : x - y;
      return falling ? -by : by;
    };
    body.append(...[...body.rows].sort(compare));
  }
  for (const head of findings?.querySelectorAll("th[data-sort]") ?? []) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "sort";
    button.textContent = head.textContent;
    head.replaceChildren(button);
    button.addEventListener("click", () => sortBy(head));
  }

  /* Filtering */
  const filters = document.getElementById("filters");
  function sift() {
    const wanted = Object.fromEntries(new FormData(filters));
    const words = wanted.words.trim().toLowerCase().split(/\s+/).filter(Boolean);
    let shown = 0;
    for (const row of body.rows) {
      const text = row.textContent.toLowerCase();
      const fits = ["state", "wall", "code"].every((name) => !wanted[name] || row.dataset[name] === wanted[name]);
      row.hidden = !(fits && words.every((word) => text.includes(word)));
      shown += !row.hidden;
      const key = row.id.slice("row-".length);
      things.get(key)?.classList.toggle("sifted", row.hidden);
      if (row.hidden && key === chosen) choose(key);
    }
    for (const holder of document.querySelectorAll(".things")) stopAt(holder, reading(holder)[0]);
    const by = [...filters.elements].filter((e) => e.name && e.value).map((e) => e.selectedOptions?.[0].text ?? e.value);
    document.getElementById("count").textContent =
      `${shown} of ${body.rows.length} findings shown${by.length ? ` (${by.join(", ")})` : ""}.`;
  }
  if (filters) {
    filters.addEventListener("input", sift);
    filters.addEventListener("reset", () => setTimeout(sift));
    filters.addEventListener("submit", (event) => event.preventDefault());
  }

  /* What is wider than its place can be scrolled by keyboard */
  const holders = document.querySelectorAll(".scroll");
  const least = 0.68;  // of its full size an elevation is shrunk to at most; beyond that it scrolls
  function fit() {
    for (const drawn of document.querySelectorAll("svg.elevation")) drawn.style.minWidth = `${least * drawn.getAttribute("width")}px`;
    for (const holder of holders) {
      const wide = holder.scrollWidth > holder.clientWidth;
      for (const [name, value] of [["tabindex", "0"], ["role", "region"], ["aria-label", holder.dataset.name]]) {
        if (wide) holder.setAttribute(name, value);
        else holder.removeAttribute(name);
      }
    }
  }
  window.addEventListener("resize", fit);

  /* An address such as sheet.html#V3 opens with that finding chosen */
  function follow() {
    const key = decodeURIComponent(location.hash.slice(1));
    if (key !== chosen && buttons.has(key)) choose(key, (k) => { showRow(k); showThing(k); });
  }
  page.classList.add("scripted");
  for (const part of document.querySelectorAll(".script-only")) part.hidden = false;
  fit();
  window.addEventListener("hashchange", follow);
  follow();
})();
