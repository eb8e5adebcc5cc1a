// Install: the profile section by section, the checks, and the bits that each setting decides.

import { after, ask, by, confirmed, draw, element, latest, save, textOf } from "./ask.js";
import { keep, own, when } from "./draft.js";
import { input, settings } from "./setting.js";

/** This many changes can be undone. */
const MOST_UNDONE = 50;
const LEFT_OUT = "left out";
const OPEN = "to be filled in";
const STATED = "stated";

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
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

/** Makes the form; gives ways to the profile as it is. */
export function install(page) {
  const { begun } = page;
  const form = by("install-form");
  const frames = by("install-frames");
  const show = latest(by("install-trouble"), (isStale) => by("install-beside").classList.toggle("stale", isStale));
  const showSheet = latest(by("install-trouble"));
  const loading = latest(by("install-trouble"));
  // In the row that has the focus: the way to the next question, without going back to the top.
  const onward = element("button", { type: "button", class: "outlined onward" }, "Next question");
  const schemas = new Map(settings(begun.schema).map((setting) => [setting.pointer, setting]));
  const rows = new Map();
  const history = [];
  // Questions that were passed and left open.
  const passed = new Set();
  let profile = {};
  let broken = null;
  let wrong = null;
  let name = "profile.json";
  let title = "";
  let saved = "{}\n";
  let loaded = {};
  let section = begun.sections[0].name;
  let before = new Map();
  let drawn = new Map();
  let answer = null;
  const watching = [];

  const written = () => broken ?? `${JSON.stringify(profile, null, 2)}\n`;
  // What was loaded stays as its file has it until something is changed: a record names the file by its digest.
  const text = () => (written() === loaded.written ? loaded.text : written());
  const isChanged = () => written() !== saved;

  // The form -----------------------------------------------------------------------------------------------------------

  function row(setting) {
    const { schema, about } = schemas.get(setting.pointer);
    const made = input(schema, setting.name, setting.options);
    const state = element("select", { class: "state", "aria-label": `${setting.name}: stated or not` },
      ...[STATED, OPEN, LEFT_OUT].map((word) => element("option", {}, word)));
    const corrected = element("p", { class: "corrected", id: `why-${setting.id}` });
    const offered = element("p", { class: "offered", role: "status" });
    const onAir = element("ul", { class: "on-air", "aria-label": "On the air" });
    const help = [about, setting.from && `From ${setting.from}`, setting.typical && `Usual: ${setting.typical}`].filter(Boolean);
    const whole = element("div", { class: "setting", "data-pointer": setting.pointer, id: `setting-${setting.id}` },
      element("span", { class: "about" }, element("strong", {}, setting.name),
        element("span", { class: "meaning" }, `${help.join(". ")}.`)),
      element("div", { class: "words" }, ...made.parts, state),
      corrected, offered, onAir, element("code", { class: "pointer" }, setting.pointer));
    for (const part of made.parts) if (part.matches("input, select")) part.setAttribute("aria-describedby", corrected.id);
    const changed = (event) => {
      const is = event.target === state ? state.value : STATED;
      const value = is === LEFT_OUT ? undefined : is === OPEN ? null : made.value() ?? null;
      if (event.target === state && is !== STATED) made.put(undefined);
      state.value = value === undefined ? LEFT_OUT : value === null ? OPEN : STATED;
      set(setting.pointer, value, whole);
    };
    whole.addEventListener("input", changed);
    whole.addEventListener("focusin", () => {
      frame(setting.pointer);
      if (onward.parentNode !== whole) whole.append(onward);
      nameOnward();
    });
    whole.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" || !event.target.matches("input")) return;
      event.preventDefault();
      goOn(setting.pointer);
    });
    whole.addEventListener("focusout", () => frame(null));
    rows.set(setting.pointer, { whole, state, corrected, offered, made, onAir, setting, sent: null });
    return whole;
  }

  const chips = by("install-sections");
  for (const each of begun.sections) {
    const inside = each.settings.map(row);
    const usual = inside.filter((_, at) => each.settings[at].usual);
    const rare = inside.filter((_, at) => !each.settings[at].usual);
    form.append(element("fieldset", { id: `section-${each.name}` }, element("legend", {}, each.title), ...usual,
      rare.length && usual.length ? element("details", { class: "rare" }, element("summary", {}, `${rare.length} more, which few installs have`), ...rare)
        : null, ...(usual.length ? [] : rare)));
    const chip = element("button", { type: "button", "data-section": each.name, "aria-controls": `section-${each.name}` },
      element("span", {}, each.title), " ", element("span", { class: "count" }));
    chip.addEventListener("click", () => choose(each.name));
    chips.append(element("li", {}, chip));
  }
  by("install-rules").append(element("option", { value: "" }, "those of the State of registry"),
    ...begun.rules.map((each) => element("option", { value: each.name }, each.title)));

  /** Shows one section, and of the frames those that it has a part in. */
  function choose(wanted) {
    section = wanted;
    for (const each of begun.sections) by(`section-${each.name}`).hidden = each.name !== wanted;
    for (const chip of chips.querySelectorAll("button")) {
      if (chip.dataset.section === wanted) chip.setAttribute("aria-current", "true");
      else chip.removeAttribute("aria-current");
    }
    sift();
  }

  /** Leads to the row of a setting. */
  function lead(pointer) {
    const found = begun.sections.find((each) => each.settings.some((one) => one.pointer === pointer));
    if (!found) return;
    choose(found.name);
    const { whole } = rows.get(pointer);
    const rare = whole.closest("details");
    if (rare) rare.open = true;
    whole.scrollIntoView({ block: "center" });
    whole.querySelector("input:not([hidden]), select")?.focus();
  }

  /** The question that follows a setting: those that are left open come again after the others. */
  function question(after) {
    const open = answer?.open ?? [];
    return open.find((each) => each.pointer !== after && !passed.has(each.pointer)) ?? open[0];
  }

  const words = (next) => `Next question: ${rows.get(next.pointer)?.setting.name ?? next.pointer} (${answer.open.length} open)`;

  function nameOnward() {
    const next = question(onward.closest(".setting")?.dataset.pointer);
    onward.textContent = next ? words(next) : by("install-done").hidden ? "To the error" : "Every question is answered: what next";
  }

  /** Goes to the next open question; after the last to what comes then. */
  async function goOn(after) {
    await now();
    if (answer.open.some((each) => each.pointer === after)) passed.add(after);
    if (answer.open.every((each) => passed.has(each.pointer))) passed.clear();
    const next = question(after);
    if (wrong !== null) lead(wrong);
    else if (next) lead(next.pointer);
    else by("install-done").querySelector("a").focus();
  }

  // Changes ------------------------------------------------------------------------------------------------------------

  /** Remembers how it was, so that a change can be undone; typing in one row is one change. */
  function remember(whole) {
    const last = history.at(-1);
    if (whole && last?.whole === whole && Date.now() - last.at < 2000) { last.at = Date.now(); return; }
    history.push({ text: written(), name, whole, at: Date.now() });
    if (history.length > MOST_UNDONE) history.shift();
  }

  function set(pointer, value, whole = null) {
    remember(whole);
    write(profile, pointer, value);
    broken = null;
    changed();
    refresh();
  }

  function changed() {
    by("install-undo").disabled = !history.length;
    const kept = keep({ text: written(), name, title, saved, loaded });
    by("draft-state").textContent = isChanged() ? `${title || name} \u00b7 ${kept ? `draft kept ${when(Date.now())}` : "not saved"}` : title || name;
    window.onbeforeunload = !kept && isChanged() ? (event) => event.preventDefault() : null;
    for (const run of watching) run();
  }

  /** Shows a profile in the form, with what is known of it. What does not fit an input is left in the profile, and the checks name it. */
  function fill(given, known = null) {
    profile = given;
    for (const [pointer, { state, made }] of rows) {
      const value = read(profile, pointer);
      state.value = value === undefined ? LEFT_OUT : value === null ? OPEN : STATED;
      made.put(value);
    }
    before = new Map();
    for (const row of rows.values()) row.sent = null;
    return known ? show(async () => known, shown) : now();
  }

  /**
   * Loads a profile, unless one that is loaded later overtakes it. What a person wrote in words, and a file with comments,
   * are read by the program.
   */
  const load = (given, called, { draft, said } = {}) => loading(
    () => ask("install", { profile: given, rules: by("install-rules").value }).catch(() => ({})),
    (told) => taken(told, given, called, draft, said),
  );

  /** Shows what was loaded; what has faults as it is. */
  function taken(told, given, called, draft, said) {
    if (answer) remember(null);
    name = called;
    broken = null;
    let parsed = told.read;
    try {
      parsed ??= JSON.parse(given.replace(/^\uFEFF/, ""));
      if (parsed === null || typeof parsed !== "object" || Array.isArray(parsed)) throw new Error();
    } catch {
      broken = given;
      parsed = {};
    }
    const answered = fill(parsed, told.read ? told : null);
    // At once: what is changed while the answer is on its way is a change already.
    loaded = draft?.loaded ?? { written: written(), text: given };
    saved = draft ? draft.saved ?? "" : written();
    const comments = told.has_comments && broken === null ? " Its comments are not kept when you change it here." : "";
    by("install-state").textContent = said ?? (broken === null ? `${called} is loaded.${comments}`
      : `${called} cannot be shown in the form; the checks say why, with line and column.`);
    by("install-checks").open = broken !== null;
    answered.then(changed);
  }

  const empty = () => load(`${JSON.stringify(begun.empty, null, 2)}\n`, "profile.json",
    { said: "An empty profile: everything is still to be filled in." });

  async function saveIt() {
    save(name, text(), "application/json");
    saved = written();
    changed();
  }

  /** Asks, where what was changed here is not in a file yet. */
  async function mayBeReplaced() {
    if (!isChanged()) return true;
    const wish = await confirmed("Replace the profile?", `The changes to ${title || name} are not in a file yet.`,
      [["save", "Save it first"], ["replace", "Replace it"], ["", "Keep it"]]);
    if (wish === "save") await saveIt();
    return wish !== "";
  }

  // Answers ------------------------------------------------------------------------------------------------------------

  const now = () => show(() => ask("install", { profile: text(), rules: by("install-rules").value }), shown);
  const refresh = after(60, now);

  function shown(given) {
    answer = given;
    title = given.title.mark ?? given.title.address ?? "";
    problems(given.problems);
    offers(given.offers);
    counts(given);
    by("install-rules-taken").textContent = `Checked against: ${given.rules.title}, ${given.rules.date} (${given.rules.why}).`;
    by("install-trouble").textContent = given.trouble ?? "";
    const scrolled = by("install-beside").scrollTop;
    redraw(given.html);
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
    beside(given.frames);
    sift();
    by("install-beside").scrollTop = scrolled;
    by("install-unseen").replaceChildren(...given.unseen.map((each) =>
      element("li", {}, element("strong", {}, each.name), `: ${each.reason}`)));
    by("install-text").querySelector("pre").textContent = text();
    const focused = document.activeElement?.closest?.(".setting");
    if (focused) frame(focused.dataset.pointer);
    changed();
  }

  /** Draws the frames; those that are as they were stay, since drawing all of them anew takes longer than a change may. */
  function redraw(all) {
    const template = document.createElement("template");
    const made = all.map((html) => {
      const old = drawn.get(html);
      if (!old) {
        draw(template, html);
        return [html, template.content.firstElementChild];
      }
      old.classList.remove("changed");
      for (const bit of old.querySelectorAll(".lit-up")) bit.classList.remove("lit-up");
      return [html, old];
    });
    drawn = new Map(made);
    const nodes = made.map(([, node]) => node);
    for (const gone of [...frames.children].filter((each) => !nodes.includes(each))) gone.remove();
    let at = frames.firstElementChild;
    for (const node of nodes) {
      if (node === at) at = at.nextElementSibling;
      else frames.insertBefore(node, at);
    }
  }

  function problems(found) {
    for (const { whole, corrected, made } of rows.values()) {
      whole.classList.remove("has-error", "has-warning");
      corrected.textContent = "";
      for (const part of made.parts) part.removeAttribute("aria-invalid");
    }
    for (const each of found.filter((one) => one.severity !== "note")) {
      const place = rows.get(each.setting);
      if (!place || corrected(place)) continue;
      place.whole.classList.add(`has-${each.severity}`);
      place.corrected.textContent = `${each.severity}: ${each.reason}. ${capital(each.correction)}.`;
      if (each.severity === "error") for (const part of place.made.parts) part.setAttribute("aria-invalid", "true");
    }
    function corrected(place) { return place.corrected.textContent !== ""; }
    const count = (severity) => {
      const number = found.filter((each) => each.severity === severity).length;
      return `${number} ${severity}${number === 1 ? "" : "s"}`;
    };
    by("install-problems-title").textContent = `Checks: ${["error", "warning", "note"].map(count).join(", ")}`;
    by("install-problems").replaceChildren(...found.map((each) => {
      const to = element("button", { type: "button", class: "plain", disabled: !rows.has(each.setting) }, each.name ?? each.pointer ?? "");
      to.addEventListener("click", () => lead(each.setting));
      const place = broken !== null && each.line ? `line ${each.line}, column ${each.column}: ` : "";
      return element("li", { class: each.severity }, element("strong", {}, `${each.severity}: `), place,
        each.name ? to : element("code", {}, each.pointer), ` ${each.reason}. `, element("em", {}, `${capital(each.correction)}.`),
        element("span", { class: "soft small" }, ` [${each.rule}]`));
    }));
  }

  function offers(given) {
    for (const { offered } of rows.values()) offered.replaceChildren();
    for (const each of given) {
      const place = rows.get(each.pointer);
      if (!place) continue;
      const take = element("button", { type: "button", class: "outlined" }, `Take ${each.words}`);
      take.addEventListener("click", () => {
        place.made.put(each.value);
        place.state.value = STATED;
        set(each.pointer, each.value);
        place.whole.querySelector("input:not([hidden]), select")?.focus();
      });
      place.offered.append(`${each.instead ? "Otherwise it would be" : "It follows"}: `, element("strong", {}, each.words), ` (${each.why}). `, take);
    }
  }

  /** How many settings of each section are stated, and which question is next. */
  function counts(given) {
    for (const each of begun.sections) {
      const usual = each.settings.filter((one) => one.usual && !given.without.includes(one.pointer));
      const set = usual.filter((one) => (read(profile, one.pointer) ?? null) !== null).length;
      const wrong = given.problems.filter((one) => one.severity === "error" && each.settings.some((own) => own.pointer === one.setting)).length;
      chips.querySelector(`[data-section="${each.name}"] .count`).textContent =
        `${usual.length ? `${set} of ${usual.length}` : ""}${wrong ? ` \u00b7 ${wrong} wrong` : ""}`;
    }
    const [next] = given.open;
    by("install-next").hidden = !next;
    // Of a profile with errors no questions are known.
    wrong = given.problems.find((one) => one.severity === "error")?.setting ?? null;
    const isDone = !next && wrong === null && broken === null;
    by("install-done").hidden = !isDone;
    nameOnward();
    by("install-stop").textContent = next?.stop ? `STOP ${next.stop}` : "";
    if (!next) return;
    by("install-next").textContent = words(next);
  }

  /** Says at each setting which bits it decides, in the air and on the ground; what follows a change lights up. */
  function beside(sent) {
    const words = { airborne: "in the air", on_ground: "on the ground", both: "in the air and on the ground" };
    const plain = (key) => key.replaceAll("_", " ");
    for (const [pointer, row] of rows) {
      const groups = new Map();
      for (const each of sent) {
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
        const place = `(bits ${first === last ? first : `${first}\u2013${last}`}, ${plain(message)}${others}, ${state})`;
        return { code: `${shown}|${field.field}|${state}|${first}`, shown, meaning: ` ${field.meaning} `, place };
      });
      // What stays as it is is not drawn again: all the rows anew take longer than a change may.
      const { onAir, sent: old } = row;
      row.sent = lines;
      if (JSON.stringify(lines) === JSON.stringify(old) && !onAir.querySelector(".lit-up")) continue;
      const isNew = ({ code }) => old && old.every((line) => line.code !== code);
      onAir.replaceChildren(...lines.map((line) => element("li", { class: isNew(line) ? "lit-up" : undefined },
        element("code", { class: "strip" }, line.shown), line.meaning, element("span", { class: "soft" }, line.place))));
    }
  }

  /** Frames the bits of a setting, and brings the first into view where the frames are beside the form. */
  function frame(pointer) {
    const panel = by("install-beside");
    let first = null;
    for (const each of frames.querySelectorAll("[data-settings]")) {
      const is = pointer !== null && each.dataset.settings.split(" ").includes(pointer);
      each.classList.toggle("focused", is);
      if (is && !first && !each.closest("[hidden]")) first = each.closest(".emission");
    }
    if (first && getComputedStyle(panel).position === "sticky") {
      panel.scrollTop += first.getBoundingClientRect().top - panel.getBoundingClientRect().top - 60;
    }
  }

  /** Of the frames, those of the wanted state in which a setting of this section decides a bit. */
  function sift() {
    const wanted = document.querySelector("#install-when input:checked").value;
    const inside = new Set(begun.sections.find((each) => each.name === section).settings.map((one) => one.pointer));
    let count = 0;
    for (const each of frames.querySelectorAll(".emission")) {
      const concerned = [...each.querySelectorAll("[data-settings]")].some((one) => one.dataset.settings.split(" ").some((pointer) => inside.has(pointer)));
      each.hidden = !concerned || wanted !== "all" && each.dataset.when !== "both" && each.dataset.when !== wanted;
      count += each.hidden ? 0 : 1;
    }
    by("install-none").hidden = count > 0;
  }

  by("install-when").addEventListener("change", sift);
  by("install-rules").addEventListener("change", now);
  by("install-next").addEventListener("click", () => goOn());
  onward.addEventListener("click", () => goOn(onward.closest(".setting")?.dataset.pointer));
  by("install-load").addEventListener("change", async (event) => {
    const [file] = event.target.files;
    if (file && await mayBeReplaced()) await load(await textOf(file), file.name);
    event.target.value = "";
  });
  by("install-save").addEventListener("click", saveIt);
  by("install-sheet").addEventListener("click", () => showSheet(
    () => ask("intended", { profile: text(), profile_name: name, rules: by("install-rules").value }),
    (given) => { save(given.name, given.record, "text/html"); by("install-state").textContent = `${given.name} was saved; open it to print it, or to save it as PDF.`; },
  ));
  by("install-new").addEventListener("click", async () => { if (await mayBeReplaced()) await empty(); });
  by("install-example").addEventListener("click", async () => {
    if (!await mayBeReplaced()) return;
    await show(() => ask("example", {}), (given) => load(given.profile, given.profile_name));
  });
  by("install-undo").addEventListener("click", async () => {
    const last = history.pop();
    if (!last) return;
    name = last.name;
    try {
      broken = null;
      await fill(JSON.parse(last.text));
    } catch {
      broken = last.text;
      await fill({});
    }
    changed();
    by("install-state").textContent = "The last change was undone.";
  });

  choose(section);
  const draft = own();
  if (draft) {
    load(draft.text, draft.name, { draft, said: `The draft of this tab, kept ${when(draft.kept)}.` });
  } else if (begun.profile) load(begun.profile, begun.profile_name ?? "profile.json");
  else empty();

  function enter(words) {
    const asked = words.get("setting");
    const found = asked && [...rows.values()].find(({ setting }) => setting.id === asked || setting.pointer === asked);
    if (found) lead(found.setting.pointer);
  }
  return { enter, text, isReady: () => answer !== null, name: () => name, load, mayBeReplaced, watch: (run) => { watching.push(run); } };
}
