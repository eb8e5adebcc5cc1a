// Read back: what a test set shows, typed setting by setting; what is expected appears once something is typed.

import { after, ask, by, confirmed, draw, element, latest, save } from "./ask.js";
import { READINGS, keep, own, when } from "./draft.js";

/** Of this many aircraft the values are kept. */
const MOST_AIRCRAFT = 5;

export function readback(page) {
  const { install } = page.views;
  const form = by("readback-form");
  const beside = by("readback-beside");
  const show = latest(by("readback-trouble"), (isStale) => {
    beside.classList.toggle("stale", isStale);
    by("readback-first").classList.toggle("stale", isStale);
  });
  // What was typed, by aircraft: another profile on the page does not lose it.
  let typed = {};
  let address = "";
  let answer = null;
  let built = "";
  let isDue = true;
  const rows = new Map();

  try { typed = JSON.parse(own(READINGS)?.text ?? "{}"); } catch { typed = {}; }

  const values = () => typed[address] ?? {};
  const question = (more = {}) => ({ profile: install.text(), profile_name: install.name(), values: values(), ...more });

  async function asked() {
    const given = await ask("readback", question());
    if (given.address === address) return given;
    // Another aircraft, with its own values.
    ({ address } = given);
    return ask("readback", question());
  }
  const now = () => { isDue = false; return show(asked, shown); };
  const soon = after(120, now);

  function put(key, value) {
    const { [address]: own_values, ...others } = typed;
    const { [key]: _, ...rest } = own_values ?? {};
    replace(value.trim() === "" ? rest : { ...rest, [key]: value }, others);
  }

  function replace(given, others = Object.fromEntries(Object.entries(typed).filter(([key]) => key !== address))) {
    typed = Object.fromEntries([...Object.entries(others).slice(1 - MOST_AIRCRAFT), [address, given]]);
    const kept = keep({ text: JSON.stringify(typed) }, READINGS);
    by("readback-kept").textContent = kept ? `draft kept ${when(Date.now())}` : "not kept: this browser keeps nothing; save the form";
  }

  function shown(given) {
    answer = given;
    const structure = JSON.stringify([address, given.groups]);
    if (structure !== built) build(given.groups);
    built = structure;
    by("readback-stops").replaceChildren(stops(given.stops));
    by("readback-first").textContent = `${given.first_line}.`;
    by("readback-evidence").textContent = `Evidence: ${given.evidence}.`;
    by("readback-figures").textContent = `${given.figures_source}.`;
    by("readback-left").textContent = given.left_out.length
      ? `Typed before, and not a value of this install any more: ${given.left_out.join("; ")}.` : "";
    draw(by("readback-answer"), given.html);
    by("readback-none").hidden = given.html !== "";
    for (const [key, { box, said }] of rows) {
      const verdict = given.verdicts[key];
      const refused = given.refused[key];
      said.textContent = refused ? `Not taken: ${refused}` : verdict?.words ?? "";
      said.className = refused || verdict?.is === "differs" ? "differs" : "";
      if (refused) box.setAttribute("aria-invalid", "true");
      else box.removeAttribute("aria-invalid");
    }
  }

  const stops = (lines) => lines.length
    ? element("div", { class: "stops" }, ...lines.map((line) => element("p", {}, element("strong", { class: "error" }, "STOP "), line))) : "";

  function build(groups) {
    rows.clear();
    form.replaceChildren(...groups.map((group) => {
      let message = "";
      const inside = group.lines.flatMap((line) => {
        const id = `read-${rows.size}`;
        const box = element("input", { id, type: "text", autocomplete: "off", spellcheck: "false", "aria-describedby": `${id}-said`, "data-key": line.key });
        box.value = values()[line.key] ?? "";
        const said = element("p", { id: `${id}-said`, role: "status" });
        rows.set(line.key, { box, said });
        box.addEventListener("input", () => {
          // The verdict of what was here before is not that of what is typed now.
          said.textContent = "";
          put(line.key, box.value);
          soon();
        });
        const row = element("div", { class: "read" },
          element("label", { for: id }, element("strong", {}, line.name), element("span", {}, line.given), box), said);
        const head = line.about && line.about !== message ? [element("p", { class: "small soft" }, line.about)] : [];
        message = line.about;
        return [...head, row];
      });
      return element("fieldset", {}, element("legend", {}, group.title), stops(group.stops), ...inside);
    }));
  }

  by("readback-record").addEventListener("click", () => show(() => ask("readback", question({ record: true })), (given) => {
    shown(given);
    save(given.name, given.record, "text/html");
  }));
  by("readback-save").addEventListener("click", () => show(asked, (given) => {
    shown(given);
    save("readback.txt", given.form, "text/plain");
  }));
  by("readback-load").addEventListener("change", async (event) => {
    const [file] = event.target.files;
    event.target.value = "";
    if (!file) return;
    if (Object.keys(values()).length && !await confirmed("Replace the values?", "The values typed here are discarded.", [["yes", "Replace them"], ["", "Keep them"]])) return;
    await show(async () => ask("readback", question({ form: await file.text() })), (given) => {
      ({ address } = given);
      replace(given.values);
      built = "";
      shown(given);
    });
  });
  by("readback-clear").addEventListener("click", async () => {
    if (!Object.keys(values()).length || !await confirmed("Clear all values?", "The values typed here are discarded.", [["yes", "Clear them"], ["", "Keep them"]])) return;
    replace({});
    built = "";
    now();
  });
  install.watch(() => {
    isDue = true;
    if (!by("readback").hidden) soon();
  });

  return { 
    enter: () => {
      // What is being loaded tells of itself once it is there.
      if (install.isReady() && (isDue || !answer)) now();
    },
  };
}
