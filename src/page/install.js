// Install: the profile as a form made from its schema, the checks, and the bits that each setting decides.

import { after, ask, by, element, latest, save } from "./ask.js";
import { input, settings } from "./setting.js";

const read = (tree, pointer) => pointer.split("/").slice(1).reduce((node, key) => node === null ? null : node?.[key], tree);

function write(tree, pointer, value) {
  const keys = pointer.split("/").slice(1);
  const last = keys.pop();
  let node = tree;
  for (const key of keys) {
    if (node[key] === null || typeof node[key] !== "object") {
      if (value === undefined) return;
      node[key] = {};
    }
    node = node[key];
  }
  if (value === undefined) delete node[last];
  else node[last] = value;
}

/** Makes the form; gives a way to the profile as it stands. */
export function install(start) {
  const form = by("install-form");
  const show = latest(by("install-trouble"));
  const all = settings(start.schema);
  const rows = new Map();
  let profile = {};
  let broken = null;
  let name = "profile.json";
  let before = new Map();

  const text = () => broken ?? JSON.stringify(profile, null, 2);

  function row(setting) {
    const made = input(setting.schema, setting.name);
    const leave = element("input", { type: "checkbox" });
    const corrected = element("p", { class: "corrected" });
    const onAir = element("ul", { class: "on-air", "aria-label": "On the air" });
    const whole = element("div", { class: "setting", "data-pointer": setting.pointer },
      element("span", { class: "about" }, element("strong", {}, setting.name), element("span", { class: "meaning" }, setting.about),
        element("span", { class: "key-name" }, setting.pointer)),
      element("div", { class: "words" }, ...made.parts,
        element("label", { class: "leave" }, leave, "not stated")),
      onAir, corrected);
    const changed = () => {
      const value = leave.checked ? undefined : made.value() ?? null;
      for (const part of made.parts) part.disabled = leave.checked;
      write(profile, setting.pointer, value);
      refresh();
    };
    whole.addEventListener("input", changed);
    whole.addEventListener("change", changed);
    whole.addEventListener("focusin", () => { frame(setting.pointer); bring(setting.pointer); });
    whole.addEventListener("focusout", () => frame(null));
    rows.set(setting.pointer, { whole, leave, corrected, made, onAir });
    return whole;
  }

  const plain = (key) => key.replaceAll("_", " ");
  const groups = new Map();
  for (const setting of all) {
    const group = setting.pointer.split("/")[1];
    if (!groups.has(group)) groups.set(group, []);
    groups.get(group).push(row(setting));
  }
  for (const [group, inside] of groups) {
    form.append(element("fieldset", {}, element("legend", {}, plain(group)), ...inside));
  }
  by("install-rules").append(element("option", { value: "" }, "those of the State of registry"));
  for (const select of [by("install-rules"), by("verdict-rules")]) {
    select.append(...start.rules.map((each) => element("option", { value: each.name }, each.title)));
  }

  /** Shows a profile in the form. What does not fit an input stays in the profile, and the checks name it. */
  function fill(given) {
    profile = given;
    for (const [pointer, { leave, made }] of rows) {
      const value = read(profile, pointer);
      leave.checked = value === undefined;
      made.put(value);
      for (const part of made.parts) part.disabled = leave.checked;
    }
    before = new Map();
    for (const { onAir } of rows.values()) delete onAir.dataset.lines;
    now();
  }

  async function load(given, called) {
    name = called;
    broken = null;
    // What a person wrote in words, and a file with comments, are read by the program; what has faults is shown as it is.
    const answer = await ask("install", { profile: given, rules: by("install-rules").value }).catch(() => ({}));
    let parsed = answer.read;
    try {
      parsed ??= JSON.parse(given);
      if (parsed === null || typeof parsed !== "object" || Array.isArray(parsed)) throw new Error();
    } catch {
      broken = given;
      parsed = {};
    }
    fill(parsed);
    const comments = answer.has_comments && broken === null ? " Its comments are not kept when you save it here." : "";
    by("install-state").textContent = broken === null ? `${called} is loaded.${comments}` : `${called} cannot be shown in the form; the checks say why, with line and column.`;
  }

  const now = () => show(() => ask("install", { profile: text(), rules: by("install-rules").value }), draw);
  const refresh = after(150, () => { broken = null; now(); });

  function draw(answer) {
    problems(answer.problems);
    const { title, date, why } = answer.rules;
    by("install-rules-taken").textContent = `Checked against: ${title}, ${date} (${why}).`;
    by("install-trouble").textContent = answer.trouble ?? "";
    const frames = by("install-frames");
    const scrolled = by("install-beside").scrollTop;
    frames.innerHTML = answer.html;
    const seen = new Map();
    for (const each of frames.querySelectorAll(".emission")) {
      seen.set(each.dataset.key, each.dataset.frame);
      const old = before.get(each.dataset.key);
      if (old === undefined || old === each.dataset.frame || old.length !== each.dataset.frame.length) continue;
      each.classList.add("changed");
      for (const bit of each.querySelectorAll(".bit")) {
        const at = Number(bit.dataset.bit) - 1;
        const digit = (hex) => parseInt(hex[at >> 2], 16) >> (3 - (at & 3)) & 1;
        if (digit(old) !== digit(each.dataset.frame)) bit.classList.add("lit-up");
      }
    }
    before = seen;
    beside(answer.frames);
    when();
    by("install-beside").scrollTop = scrolled;
    by("install-unseen").replaceChildren(...answer.unseen.map((each) =>
      element("li", {}, element("code", {}, each.setting), `: ${each.reason}`)));
    by("install-text").querySelector("pre").textContent = text();
    const focused = document.activeElement?.closest?.(".setting");
    if (focused) frame(focused.dataset.pointer);
  }

  function problems(found) {
    for (const { whole, corrected } of rows.values()) {
      whole.classList.remove("has-error", "has-warning");
      corrected.textContent = "";
    }
    const grave = found.filter((each) => each.severity !== "note");
    for (const each of grave) {
      const at = [...rows.keys()].find((pointer) => each.pointer === pointer || each.pointer.startsWith(`${pointer}/`));
      const place = rows.get(at);
      if (!place) continue;
      place.whole.classList.add(`has-${each.severity}`);
      place.corrected.textContent = `${each.severity}: ${each.reason}; ${each.correction}`;
    }
    const count = (severity) => {
      const number = found.filter((each) => each.severity === severity).length;
      return `${number} ${severity}${number === 1 ? "" : "s"}`;
    };
    by("install-problems-title").textContent = `Checks: ${["error", "warning", "note"].map(count).join(", ")}`;
    by("install-problems").replaceChildren(...found.map((each) => element("li", { class: each.severity },
      element("strong", {}, `${each.severity}: `), broken !== null && each.line ? `line ${each.line}, column ${each.column}: ` : "",
      element("code", {}, each.pointer), ` ${each.reason}. `,
      element("em", {}, each.correction), element("span", { class: "soft small" }, ` [${each.rule}]`))));
  }

  /** Says at each setting which bits it decides, in the air and on the ground; what follows a change lights up. */
  function beside(frames) {
    const words = { airborne: "in the air", on_ground: "on the ground", both: "in the air and on the ground" };
    for (const [pointer, { onAir }] of rows) {
      const groups = new Map();
      for (const each of frames) {
        for (const field of [...each.settings, ...each.when_used ?? []].filter((one) => one.settings.includes(pointer))) {
          const [first, last] = field.bits;
          const bits = field.code.toString(2).padStart(last - first + 1, "0");
          const shown = bits.length > 16 ? `${field.code.toString(16).toUpperCase().padStart(bits.length / 4, "0")}h` : bits;
          const key = [field.field, first, last, shown].join();
          if (!groups.has(key)) groups.set(key, { field, shown, when: new Set(), messages: new Set() });
          groups.get(key).when.add(each.when);
          groups.get(key).messages.add(each.message);
        }
      }
      const lines = [...groups.values()].map(({ field, shown, when, messages }) => {
        const state = when.size > 1 ? words.both : words[[...when][0]];
        const [message, ...more] = messages;
        const others = more.length ? ` and ${more.length} more` : "";
        const [first, last] = field.bits;
        return { text: `${shown}|${field.field}|${state}|${first}`, parts: [
          `${state}, bits ${first === last ? first : `${first}-${last}`}: `, element("code", {}, shown), ` ${field.field}: ${field.meaning} (${message}${others})`] };
      });
      const old = onAir.dataset.lines?.split("\n");
      onAir.replaceChildren(...lines.map((line) =>
        element("li", { class: old && !old.includes(line.text) ? "lit-up" : undefined }, ...line.parts)));
      onAir.dataset.lines = lines.map((line) => line.text).join("\n");
    }
  }

  /** Brings the first frame with a setting's bits into view, where the frames stand beside the form. */
  function bring(pointer) {
    const panel = by("install-beside");
    if (getComputedStyle(panel).position !== "sticky") return;
    const bits = [...panel.querySelectorAll(".emission:not([hidden]) [data-settings]")]
      .find((each) => each.dataset.settings.split(" ").includes(pointer));
    const whole = bits?.closest(".emission");
    if (whole) panel.scrollTop += whole.getBoundingClientRect().top - panel.getBoundingClientRect().top - 8;
  }

  /** Frames the bits of a setting. */
  function frame(pointer) {
    for (const each of by("install-frames").querySelectorAll("[data-settings]")) {
      each.classList.toggle("focused", pointer !== null && each.dataset.settings.split(" ").includes(pointer));
    }
  }

  function when() {
    const wanted = document.querySelector("#install-when input:checked").value;
    for (const each of by("install-frames").querySelectorAll(".emission")) {
      each.hidden = wanted !== "all" && each.dataset.when !== "both" && each.dataset.when !== wanted;
    }
  }

  by("install-when").addEventListener("change", when);
  by("install-rules").addEventListener("change", () => { by("verdict-rules").value = by("install-rules").value || "none"; now(); });
  by("install-load").addEventListener("change", async (event) => {
    const [file] = event.target.files;
    if (file) load(await file.text(), file.name);
  });
  by("install-save").addEventListener("click", () => save(name, `${text()}\n`, "application/json"));
  by("install-new").addEventListener("click", () => {
    const empty = structuredClone(start.empty);
    name = "profile.json";
    broken = null;
    fill(empty);
    by("install-state").textContent = "An empty profile: everything is still to be filled in.";
  });

  if (start.profile) load(start.profile, start.profile_name ?? "profile.json");
  else by("install-new").click();
  return { text, name: () => name };
}
