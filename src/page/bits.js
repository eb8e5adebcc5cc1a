// Bits: a frame to look at, field by field, and to change: two acts that are never one.

import { after, ask, by, draw, element, latest } from "./ask.js";
import { make } from "./make.js";

const FIRST = "8DA5C035213B4DD16208206CA0A9";

/** A frame with one bit turned. */
function flipped(frame, bit) {
  const at = (bit - 1) >> 2;
  const digit = (parseInt(frame[at], 16) ^ (8 >> ((bit - 1) & 3))).toString(16).toUpperCase();
  return frame.slice(0, at) + digit + frame.slice(at + 1);
}

export function bits(page) {
  const input = by("bits-frame");
  const ruler = by("bits-ruler");
  const table = by("bits-table");
  const card = by("bits-card");
  const whole = by("bits-answer");
  const show = latest(by("bits-error"), (isStale) => {
    whole.hidden = isStale;
    if (isStale) input.setAttribute("aria-invalid", "true");
    else input.removeAttribute("aria-invalid");
  });
  const undone = [];
  const done = [];
  // The overlay that "set parity" puts back: that of the frame as it was pasted.
  let overlay = "000000";
  let shown = null;
  // What is wanted may be ahead of what is shown.
  let frame = "";
  let field = 0;

  const reading = () => ({
    version: by("bits-version").value, reference: by("bits-reference").value, register: by("bits-register").value,
  });

  /** Shows a frame. `before` is the one that the change is compared with. */
  function explain(change, { pasted = false, before = "", focus = null } = {}) {
    if (change.frame !== undefined) frame = change.frame;
    return show(() => ask("bits", { frame, ...reading(), before, ...change }), (answer) => {
      if (pasted) overlay = answer.overlay;
      frame = answer.frame;
      if (document.activeElement !== input) input.value = frame;
      const message = shown?.title;
      shown = answer;
      // Who has gone elsewhere meanwhile stays there.
      const active = document.activeElement;
      const held = ruler.contains(active) ? active.dataset.bit : null;
      const back = active === document.body || card.contains(active) ? focus : null;
      by("bits-title").textContent = answer.title;
      draw(by("bits-lead"), answer.lead);
      draw(ruler, answer.ruler);
      draw(table, answer.table);
      draw(by("bits-further"), answer.further);
      by("bits-strip").hidden = !answer.changed;
      draw(by("bits-changed"), answer.changed ?? "");
      by("bits-undo").disabled = !done.length;
      by("bits-redo").disabled = !undone.length;
      by("bits-parity").hidden = answer.holds;
      by("bits-json").querySelector("pre").textContent = JSON.stringify(answer.json, null, 2);
      by("bits-register-label").hidden = !answer.carries_register;
      by("bits-steps").setAttribute("href", `?frame=${frame}#steps`);
      if (!by("bits").hidden) page.go(`?frame=${frame}#bits`, { silently: true });
      const fits = message === answer.title && field < answer.cards.length;
      select(fits ? field : first(answer), { quietly: true, bit: fits && held ? Number(held) : null });
      if (held) ruler.querySelector(`[data-bit="${held}"]`)?.focus();
      else if (back) card.querySelector(`[data-flip="${back}"]`)?.focus();
    });
  }

  /** The first field that says something of its own: after the envelope and the address, if there is more. */
  const first = (answer) => {
    const rows = [...new DOMParser().parseFromString(answer.table, "text/html").querySelectorAll("tbody tr")];
    const own = (row) => !row.querySelector(".k-envelope, .k-address, .kept, .k-parity");
    const address = rows.findIndex((row) => row.querySelector(".k-address"));
    const at = rows.findIndex((row, index) => index > address && own(row));
    return Math.max(0, at < 0 ? rows.findIndex(own) : at);
  };

  /** Takes a changed frame, which can be undone. */
  function change(request, focus) {
    const before = frame;
    done.push(before);
    undone.length = 0;
    return explain(request, { before, focus });
  }

  /** Chooses a field: its bits, its row and its card. */
  function select(at, { quietly = false, bit = null } = {}) {
    field = at;
    const fields = shown.cards;
    draw(card, fields[at] ?? "");
    for (const each of ruler.querySelectorAll(".bit")) each.classList.toggle("sel", Number(each.dataset.field) === at);
    for (const row of table.querySelectorAll("tr[data-field]")) {
      const is = Number(row.dataset.field) === at;
      row.classList.toggle("sel", is);
      row.querySelector("button").setAttribute("aria-pressed", is);
    }
    // Where the ruler is one long line, what is chosen comes into view.
    const middle = ruler.querySelector(".bit.sel");
    if (ruler.scrollWidth > ruler.clientWidth && middle) {
      ruler.scrollLeft += middle.getBoundingClientRect().left - ruler.getBoundingClientRect().left - ruler.clientWidth / 3;
    }
    const target = bit ?? Number(ruler.querySelector(".bit.sel")?.dataset.bit ?? 1);
    for (const each of ruler.querySelectorAll(".bit")) each.tabIndex = Number(each.dataset.bit) === target ? 0 : -1;
    const name = (index) => table.querySelector(`tr[data-field="${index}"] button`)?.textContent;
    const steps = [[at - 1, "\u2190 "], [at + 1, ""]].map(([to, lead]) => {
      if (!name(to)) return null;
      const button = element("button", { type: "button", class: "plain" }, `${lead}${name(to)}${lead ? "" : " \u2192"}`);
      button.addEventListener("click", () => { select(to); card.querySelector("h2")?.scrollIntoView({ block: "nearest" }); });
      return button;
    });
    card.append(otherwise(at), element("p", { class: "line between" }, ...steps));
    if (!quietly) by("bits-said").textContent = card.querySelector("h2")?.textContent ?? "";
  }

  /** A way to have the field say something else, by its meaning. */
  function otherwise(at) {
    const inside = element("div", { class: "line" });
    const whole = element("details", {}, element("summary", {}, "Let it say something else"), inside);
    whole.addEventListener("toggle", async () => {
      if (!whole.open || inside.firstChild) return;
      try {
        const given = await ask("field", { frame, at, ...reading() });
        const entry = given.choices.length
          ? element("select", {}, ...given.choices.map((each) => element("option", { value: each.value, selected: each.value === given.now }, each.words)))
          : element("input", { type: "text", autocomplete: "off", value: given.now });
        const take = () => change({ set: { at, value: entry.value } });
        entry.addEventListener("change", take);
        inside.append(element("label", { class: "grow" }, given.choices.length ? "Meaning" : `Meaning (${given.rule})`, entry));
      } catch (error) {
        inside.append(element("p", { class: "trouble" }, error.message));
      }
    });
    return whole;
  }

  ruler.addEventListener("click", (event) => {
    const button = event.target.closest("button.bit");
    if (!button) return;
    const bit = Number(button.dataset.bit);
    select(Number(button.dataset.field), { bit });
    // A press of the keyboard on a bit that is looked at leads to where it is changed.
    if (event.detail === 0) card.querySelector(`[data-flip="${bit}"]`)?.focus();
    else ruler.querySelector(`[data-bit="${bit}"]`).focus();
  });
  ruler.addEventListener("keydown", (event) => {
    const from = event.target.closest?.("[data-bit]");
    if (!from) return;
    const all = [...ruler.querySelectorAll(".bit")];
    const at = all.indexOf(from);
    const to = { ArrowRight: all[at + 1], ArrowLeft: all[at - 1], Home: all[0], End: all.at(-1),
      ArrowDown: across(all, from, 1), ArrowUp: across(all, from, -1) }[event.key];
    if (!to) return;
    event.preventDefault();
    select(Number(to.dataset.field), { bit: Number(to.dataset.bit) });
    to.focus();
  });

  /** The bit in the line above or below, as it looks. */
  function across(all, from, way) {
    const here = from.getBoundingClientRect();
    const lines = all.map((each) => ({ each, box: each.getBoundingClientRect() }))
      .filter(({ box }) => way > 0 ? box.top > here.bottom - 2 : box.bottom < here.top + 2);
    const next = Math.min(...lines.map(({ box }) => Math.abs(box.top - here.top)));
    const line = lines.filter(({ box }) => Math.abs(box.top - here.top) < next + 2);
    line.sort((a, b) => Math.abs(a.box.left - here.left) - Math.abs(b.box.left - here.left));
    return line[0]?.each;
  }

  table.addEventListener("click", (event) => {
    const row = event.target.closest("tr[data-field]");
    if (!row) return;
    select(Number(row.dataset.field));
    row.querySelector("button").focus();
    if (getComputedStyle(card.parentElement).position !== "fixed") return;
    card.scrollTop = 0;
  });
  card.addEventListener("click", (event) => {
    const button = event.target.closest("[data-flip]");
    if (button) change({ frame: flipped(frame, Number(button.dataset.flip)) }, Number(button.dataset.flip));
  });
  card.addEventListener("keydown", (event) => {
    const bit = Number(event.target.dataset?.flip);
    const move = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    const to = bit && move && card.querySelector(`[data-flip="${bit + move}"]`);
    if (!to) return;
    event.preventDefault();
    to.focus();
  });

  by("bits-form").addEventListener("submit", (event) => { event.preventDefault(); explain({ frame: input.value }, { pasted: true }); });
  input.addEventListener("input", after(200, () => explain({ frame: input.value }, { pasted: true })));
  for (const id of ["bits-version", "bits-register", "bits-reference"]) by(id).addEventListener("change", () => explain({}));
  by("bits-parity").addEventListener("click", () => change({ set_parity: overlay }));
  by("bits-undo").addEventListener("click", () => {
    const before = frame;
    undone.push(before);
    explain({ frame: done.pop() }, { before });
  });
  by("bits-redo").addEventListener("click", () => {
    const before = frame;
    done.push(before);
    explain({ frame: undone.pop() }, { before });
  });
  by("bits-codes").addEventListener("change", () => whole.classList.toggle("with-codes", by("bits-codes").checked));
  by("bits-copy").addEventListener("click", async () => {
    const link = new URL(`?frame=${frame}#bits`, location.href).href;
    await navigator.clipboard?.writeText(link).catch(() => {});
    by("bits-said").textContent = `The link of this frame was copied: ${link}`;
  });

  const maker = make((made) => explain({ frame: made }, { pasted: true }), (registers) => {
    by("bits-register").append(...registers.map((each) =>
      element("option", { value: each.register }, `${each.register} ${each.title}`)));
  });

  function enter(words) {
    maker.learn();
    const asked = words.get("frame");
    if (asked && asked !== frame) {
      done.length = undone.length = 0;
      input.value = asked;
      explain({ frame: asked }, { pasted: true });
    } else if (!frame) {
      input.value = FIRST;
      explain({ frame: FIRST }, { pasted: true });
    } else page.go(`?frame=${frame}#bits`, { silently: true });
  }
  return { enter };
}
