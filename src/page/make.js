// A frame made from a message and its meanings: it follows as they are typed.

import { after, ask, by, element, latest } from "./ask.js";

/** `made` gets each frame; `known` the registers, once they are known. */
export function make(made, known) {
  const picker = by("make-message");
  const search = by("make-search");
  const fields = by("make-fields");
  const show = latest(by("make-error"));
  let messages = null;
  let version = "2";

  let loaded = null;

  /** Learns the messages, once they are wanted. */
  function learn() {
    if (loaded) return;
    loaded = ask("messages", {});
    loaded.then((answer) => known(answer.registers)).catch(() => { loaded = null; });
  }

  const begin = () => messages || show(() => { learn(); return loaded; }, (answer) => {
    ({ messages } = answer);
    list(answer.groups);
    search.addEventListener("input", () => list(answer.groups));
    picker.value = messages[0].title;
    choose();
  });

  function list(groups) {
    const wanted = search.value.trim().toLowerCase();
    const chosen = picker.value;
    picker.replaceChildren(...groups.map((group) => {
      const inside = messages.filter((each) => each.group === group.name
        && `${each.title} ${each.message} ${each.applies} ${group.name}`.toLowerCase().includes(wanted));
      return inside.length ? element("optgroup", { label: `${group.name}: ${group.about}` },
        ...inside.map((each) => element("option", { value: each.title }, each.title))) : null;
    }).filter(Boolean));
    picker.value = chosen;
  }

  const choose = () => picker.value && show(() => ask("fields", { title: picker.value }), (answer) => {
    ({ version } = answer);
    by("make-applies").textContent = `When: ${answer.applies}. The values are invented; change any.`;
    fields.replaceChildren(...answer.fields.filter((each) => !each.is_code).map(entry));
    by("make-codes").replaceChildren(...answer.fields.filter((each) => each.is_code).map(entry));
    by("make-raw").hidden = !answer.fields.some((each) => each.is_code);
    build();
  });

  function entry(each) {
    const input = each.choices.length
      ? element("select", { name: each.name }, element("option", { value: "" }, "as in the pattern"),
        ...each.choices.map((choice) => element("option", { value: choice.value, selected: choice.value === each.value }, choice.words)))
      : element("input", { name: each.name, type: "text", autocomplete: "off", spellcheck: "false", value: each.value ?? "" });
    return element("label", { title: each.rule || undefined }, element("strong", {}, each.plain), input, element("span", {}, each.about));
  }

  function build() {
    const all = [...document.querySelectorAll("#make-fields [name], #make-codes [name]")];
    const wanted = Object.fromEntries(all.map((each) => [each.name, each.value]));
    show(() => ask("make", { message: picker.value, fields: wanted, version }), (answer) => {
      by("make-notes").replaceChildren(...answer.notes.map((note) => element("li", {}, `${note}.`)));
      made(answer.frame);
    });
  }

  picker.addEventListener("change", choose);
  by("make-form").addEventListener("submit", (event) => { event.preventDefault(); build(); });
  by("make-form").addEventListener("input", after(120, (event) => { if (event.target.name) build(); }));
  by("make").addEventListener("toggle", () => { if (by("make").open) begin(); });
  return { learn };
}
