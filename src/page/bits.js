// Bits: a frame to look at and to change.

import { after, ask, by, draw, element, latest } from "./ask.js";

export function bits(start) {
  const frame = by("bits-frame");
  const answer = by("bits-answer");
  const show = latest(by("bits-error"));
  const earlier = [];
  // The overlay that "set parity" puts back: that of the frame as it was pasted.
  let overlay = "000000";
  let shown = "";

  by("bits-register").append(...start.registers.map((each) =>
    element("option", { value: each.register }, `${each.register} ${each.title}`)));

  function explain(change = {}, pasted = false) {
    const request = {
      frame: change.frame ?? frame.value, version: by("bits-version").value,
      reference: by("bits-reference").value, register: by("bits-register").value, ...change,
    };
    const bit = document.activeElement?.dataset?.bit;
    show(() => ask("bits", request), (reply) => {
      if (pasted) overlay = reply.overlay;
      if (shown && shown !== reply.frame && !change.undo) earlier.push(shown);
      shown = reply.frame;
      frame.value = reply.frame;
      draw(answer, reply);
      by("bits-json").querySelector("pre").textContent = JSON.stringify(reply.json, null, 2);
      by("bits-register-label").hidden = !reply.carries_register;
      if (bit) focus(Number(bit));
    });
  }

  function focus(bit) {
    const button = answer.querySelector(`[data-bit="${bit}"]`);
    if (!button) return;
    for (const each of answer.querySelectorAll(".bit[tabindex='0']")) each.tabIndex = -1;
    button.tabIndex = 0;
    button.focus();
  }

  answer.addEventListener("click", (event) => {
    const button = event.target.closest("button.bit");
    if (!button) return;
    button.focus();
    explain({ frame: shown, flip: Number(button.dataset.bit) });
  });
  answer.addEventListener("keydown", (event) => {
    const bit = Number(event.target.dataset?.bit);
    if (!bit) return;
    const move = { ArrowRight: 1, ArrowLeft: -1, ArrowDown: 8, ArrowUp: -8 }[event.key];
    const most = shown.length * 4;
    const wanted = event.key === "Home" ? 1 : event.key === "End" ? most : bit + (move ?? 0);
    if ((move || event.key === "Home" || event.key === "End") && wanted >= 1 && wanted <= most) {
      event.preventDefault();
      focus(wanted);
    }
  });

  by("bits-form").addEventListener("submit", (event) => { event.preventDefault(); explain({}, true); });
  frame.addEventListener("input", after(250, () => {
    const digits = frame.value.replace(/\s/g, "");
    if (digits.length === 14 || digits.length === 28) explain({}, true);
  }));
  by("bits-version").addEventListener("change", () => explain());
  by("bits-register").addEventListener("change", () => explain());
  by("bits-reference").addEventListener("change", () => explain());
  by("bits-parity").addEventListener("click", () => explain({ set_parity: overlay }));
  by("bits-back").addEventListener("click", () => {
    const before = earlier.pop();
    if (before) explain({ frame: before, undo: true });
  });

  make(start, (made) => { frame.value = made; explain({}, true); frame.scrollIntoView({ block: "center" }); });
  explain({}, true);
}

/** A message chosen from all there are, its fields filled in, and the frame that says so. */
function make(start, done) {
  const message = by("make-message");
  const fields = by("make-fields");
  const show = latest(by("make-error"));
  message.append(...start.messages.map((each, at) =>
    element("option", { value: at }, `${each.title} (${each.message})`)));

  function field(each) {
    const hint = element("span", {}, each.about + (each.choices.length || !each.rule ? "" : `; ${each.rule}`));
    const input = each.choices.length
      ? element("select", { name: each.name }, element("option", { value: "" }, "as in the pattern"),
        ...each.choices.map((choice) => element("option", { value: choice.value }, choice.words)))
      : element("input", { name: each.name, type: "text", autocomplete: "off" });
    return element("label", {}, element("code", {}, each.name), input, hint);
  }
  function fill() {
    const chosen = start.messages[message.value];
    by("make-applies").textContent = `when: ${chosen.applies}`;
    const all = chosen.fields.some((each) => each.name === "address") ? chosen.fields
      : [{ name: "address", about: "The aircraft address, six hexadecimal digits", rule: "", choices: [] }, ...chosen.fields];
    const before = fields.querySelector("[name='address']")?.value ?? "";
    fields.replaceChildren(...all.map(field));
    fields.querySelector("[name='address']").value = before;
  }
  message.addEventListener("change", fill);
  by("make-form").addEventListener("submit", (event) => {
    event.preventDefault();
    const wanted = Object.fromEntries([...fields.querySelectorAll("input, select")].map((each) => [each.name, each.value]));
    const chosen = start.messages[message.value];
    show(() => ask("make", { message: chosen.title, fields: wanted, version: by("bits-version").value }),
      (reply) => {
        by("make-notes").replaceChildren(...reply.notes.map((note) => element("li", {}, note)));
        done(reply.frame);
      });
  });
  message.value = start.messages.findIndex((each) => each.fields.length > 2);
  fill();
}
