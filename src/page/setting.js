// An input for a setting, made from its schema alone.

import { element } from "./ask.js";

/** Every setting of the schema: pointer, plain name, description and the schema of its value. */
export function settings(schema, pointer = "") {
  return Object.entries(schema.properties).flatMap(([key, inner]) => inner.anyOf
    ? [{ pointer: `${pointer}/${key}`, name: inner.title, about: inner.description, schema: inner.anyOf[0] }]
    : settings(inner, `${pointer}/${key}`));
}

const plain = (word) => String(word).replaceAll("_", " ");
const option = (value, said = plain(value)) => element("option", { value }, said);
const flat = (schema) => (schema.oneOf ?? schema.anyOf)?.flatMap(flat) ?? [schema];
// What a person may write as text is offered in parts instead.
const isWritten = (schema) => schema.type === "string" && !schema.enum && !schema.pattern && !schema.format;

/**
 * Makes the input; `options` has the words of its choices. `value()` gives undefined where nothing is entered; `put(value)` shows one, and says whether it could.
 */
export function input(schema, label, options = []) {
  const known = new Map(options);
  const words = (value) => known.get(String(value)) ?? (value === true ? "yes" : value === false ? "no" : plain(value));
  const all = flat(schema);
  const whole = all.find((each) => each.type === "integer");
  if (whole && all.length > 1) return number(whole, label);
  const alternatives = all.length > 1 ? all.filter((each) => !isWritten(each)) : all;
  if (alternatives.length > 1) return measure(alternatives, label, words);
  if (schema.enum || schema.type === "boolean") return choice(schema.enum ?? [true, false], label, words);
  if (schema.type === "string" && options.length) return choice(options.map(([word]) => word), label, words);
  if (schema.type === "integer" || schema.type === "number") return number(schema, label);
  if (schema.type === "array") return list(schema, label);
  return text(schema, label);
}

function choice(values, label, words) {
  const select = element("select", { "aria-label": label }, option("", "to be filled in"),
    ...values.map((value, at) => option(at, words(value))));
  return {
    parts: [select],
    value: () => select.value === "" ? undefined : values[Number(select.value)],
    put: (value) => { const at = values.indexOf(value); select.value = at < 0 ? "" : at; return at >= 0; },
  };
}

function number(schema, label) {
  const box = element("input", { type: "number", min: schema.minimum, max: schema.maximum, step: schema.type === "integer" ? 1 : "any", "aria-label": label });
  const range = schema.maximum === undefined ? [] : [element("span", { class: "soft small" }, `${schema.minimum} to ${schema.maximum}`)];
  return {
    parts: [box, ...range],
    value: () => box.value === "" ? undefined : Number(box.value),
    put: (value) => { const fits = typeof value === "number"; box.value = fits ? value : ""; return fits; },
  };
}

function text(schema, label) {
  const box = element("input", { type: "text", "aria-label": label, spellcheck: "false" });
  return {
    parts: [box],
    value: () => box.value === "" ? undefined : box.value,
    put: (value) => { const fits = typeof value === "string"; box.value = fits ? value : ""; return fits; },
  };
}

function list(schema, label) {
  const box = element("input", { type: "text", "aria-label": `${label}, with spaces between them`, placeholder: "with spaces between them" });
  return {
    parts: [box],
    value: () => box.value.trim() === "" ? undefined : box.value.trim().split(/\s+/),
    put: (value) => { const fits = Array.isArray(value); box.value = fits ? value.join(" ") : ""; return fits; },
  };
}

/** A number with one of several units, perhaps with a further choice (such as a side), or one of some words. */
function measure(alternatives, label, words) {
  const units = [];
  const alone = [];
  const both = [];
  const sides = {};
  for (const each of alternatives) {
    if (each.const !== undefined) alone.push(each.const);
    else if (each.enum) alone.push(...each.enum);
    else {
      const own = each.required.filter((key) => !each.properties[key].enum);
      if (own.length > 1) both.push(own);
      else units.push(own[0]);
      for (const [key, inner] of Object.entries(each.properties)) if (inner.enum) sides[key] = inner.enum;
    }
  }
  const box = element("input", { type: "number", min: 0, step: "any", "aria-label": `${label}, number` });
  // Feet and inches, as a tape shows them.
  const second = element("input", { type: "number", min: 0, step: "any", "aria-label": `${label}, inches beside the feet` });
  const pair = both[0];
  const together = pair?.join(" and ");
  const unit = element("select", { "aria-label": `${label}, unit` }, ...units.map((each) => option(each)),
    ...(pair ? [option(together)] : []), ...alone.map((each) => option(each, words(each))));
  const extra = Object.entries(sides).map(([key, values]) =>
    [key, element("select", { "aria-label": `${label}, ${plain(key)}` }, option("", `no ${plain(key)}`), ...values.map((each) => option(each)))]);
  const shown = () => {
    const word = alone.includes(unit.value);
    box.hidden = word;
    second.hidden = unit.value !== together;
    for (const [, select] of extra) select.hidden = word;
  };
  unit.addEventListener("change", shown);
  return {
    parts: [box, ...(pair ? [second] : []), unit, ...extra.map(([, select]) => select)],
    value: () => {
      if (alone.includes(unit.value)) return unit.value;
      if (box.value === "") return undefined;
      const chosen = extra.filter(([, select]) => select.value).map(([key, select]) => [key, select.value]);
      if (unit.value === together) return Object.fromEntries([...chosen, [pair[0], Number(box.value)], [pair[1], Number(second.value)]]);
      return Object.fromEntries([...chosen, [unit.value, Number(box.value)]]);
    },
    put: (value) => {
      box.value = "";
      second.value = "";
      for (const [, select] of extra) select.value = "";
      unit.value = units[0];
      let fits = alone.includes(value);
      if (fits) unit.value = value;
      else if (value && typeof value === "object") {
        const keys = Object.keys(value).filter((each) => units.includes(each));
        const [key] = keys;
        const paired = keys.length > 1 && pair?.every((each) => typeof value[each] === "number");
        fits = paired || keys.length === 1 && typeof value[key] === "number";
        if (fits) {
          unit.value = paired ? together : key;
          box.value = paired ? value[pair[0]] : value[key];
          if (paired) second.value = value[pair[1]];
          for (const [name, select] of extra) select.value = value[name] ?? "";
        }
      }
      shown();
      return fits;
    },
  };
}
