// Asks the lab in one file and the page of the program the same questions: compare.mjs PROGRAM LAB.html. Any
// difference fails.

import { readFileSync } from "node:fs";
import { gunzipSync, gzipSync } from "node:zlib";
import { library } from "./library.js";
import { withPage } from "./page.mjs";

const [program, lab] = process.argv.slice(2);
const packed = /<script type="text\/plain" id="library">([^<]+)</.exec(readFileSync(lab, "utf8"))[1];
const ask = await library(gunzipSync(Buffer.from(packed, "base64")));
const file = (name) => readFileSync(new URL(`../../vectors/demo/${name}`, import.meta.url));
const profile = file("profile.json").toString();
const frames = (name) => file(name).toString().match(/\b(?:[0-9A-F]{28}|[0-9A-F]{14})\b/g);

/** Questions and what is asked, and the files with them. Lists come from the library. */
async function* questions() {
  const list = async (name) => (await ask(name, {})).answer;
  for (const name of ["doors", "example", "messages", "lessons", "kinds"]) yield [name, {}];
  const known = [...new Set([...frames("faulty.txt"), ...frames("good_air.txt"), ...frames("good_ground.txt")])];
  for (const frame of known) {
    yield ["bits", { frame, reference: "44.5, -103.25", version: "2" }];
    yield ["bits", { frame, flip: 40, before: frame }];
    yield ["field", { frame, at: 2 }];
    yield ["parity", { frame }];
    yield ["position", { first: frame, second: known[0] }];
  }
  yield ["bits", { frame: "not a frame" }];
  yield ["nothing", {}];
  for (const text of ["N47QX", "A5C035", known[0], profile, "hello", ""]) yield ["place", { text }];
  for (const { title, message } of (await list("messages")).messages) {
    const wanted = { title, message };
    yield ["fields", wanted];
    const { fields = [] } = (await ask("fields", wanted)).answer;
    yield ["make", { message: title, fields: Object.fromEntries(fields.filter((each) => each.value).map((each) => [each.name, each.value])) }];
  }
  for (const text of [profile, "{}", "{", profile.replace("A1", "A9"), profile.replaceAll("N47QX", "47QX")]) {
    for (const rules of ["", "united_states", "none"]) {
      yield ["install", { profile: text, rules }];
      yield ["intended", { profile: text, profile_name: "mine.json", rules }];
    }
    yield ["readback", { profile: text, profile_name: "mine.json", form: file("readback.txt").toString(), record: true }];
    for (const rules of [[], ["united_states"], (await list("start")).rules.map((each) => each.name)]) {
      for (const name of ["faulty.txt", "good_air.txt", "wrong_address.txt", "fleet.txt", "profile.json"]) {
        yield ["verdict", { profile: text, profile_name: "mine.json", rules }, [[name, file(name)]]];
      }
    }
  }
  yield ["verdict", { profile, rules: [] }, [["a.txt.gz", gzipSync(file("faulty.txt"))], ["b.txt", file("good_ground.txt")]]];
  for (const position of ["44.5, -103.25", "-89.9, 179.99", "0, 0", "here"]) {
    for (const surface of [true, false]) yield ["position", { position, surface }];
  }
  for (const value of ["4500", "-900", "38012.5", "126700", "7777", "x"]) {
    yield ["altitude", { feet: value }];
    yield ["identity", { code: value }];
  }
  for (const { name } of (await list("lessons")).lessons) {
    yield ["lesson", { name }];
    const { moved } = (await ask("lesson", { name })).answer;
    yield ["picture", { name, values: moved.map((each) => each.begin) }];
    yield ["picture", { name, values: moved.map((each) => each.most) }];
  }
  for (const { level } of (await list("kinds")).levels) {
    for (const seed of ["1", "2", "3", "40", "500"]) {
      const wanted = { level: String(level), seed };
      yield ["exercise", wanted];
      yield ["judge", { ...wanted, answer: "1" }];
      yield ["judge", { ...wanted, answer: (await ask("solution", wanted)).answer.answer ?? "" }];
      yield ["solution", wanted];
    }
    yield ["sheet", { level: String(level), seed: "7", count: "3" }];
  }
  for (const name of ["", "airborne_position", "velocity", "nic", "address", "nothing of this name"]) yield ["reference", { name }];
}

/** Says where two texts begin to differ. */
function same(one, other, where) {
  if (one === other) return;
  const [a, b] = [one, other].map(String);
  let at = 0;
  while (a[at] === b[at]) at++;
  throw new Error(`${where}: at ${at} the lab has\n${a.slice(at - 60, at + 60)}\nand the program\n${b.slice(at - 60, at + 60)}`);
}

/** The time of day is all in which they may differ, and the number of a record, which is made from all that is in it. */
const timeless = (text) => text.replaceAll(/\d{4}-\d\d-\d\d[ T_]?\d\d[:\-.]?\d\d[:\-.]?\d\d( UTC|Z)?/g, "TIME").replaceAll(/\d{4}-\d\d-\d\d/g, "DAY")
  .replaceAll(/\b[0-9A-F]{4}-[0-9A-F]{4}-[0-9A-F]{4}\b/g, "NUMBER");

const answered = {};
await withPage(program, async (link) => {
  const begun = { program: await (await fetch(new URL("ask/start", link))).json(), lab: (await ask("start")).answer };
  // The lab takes smaller captures; all else that the page begins with is the same.
  const { largest_capture: largest, ...rest } = begun.lab;
  const { largest_capture: served, ...other } = begun.program;
  if (!(largest < served)) throw new Error(`${largest} and ${served}`);
  same(JSON.stringify(rest), JSON.stringify(other), "start");
  for await (const [name, question, files] of questions()) {
    let response;
    if (files) {
      const form = new FormData();
      // As files, since the line ends of texts would become those of a form.
      for (const [key, value] of Object.entries(question)) for (const each of [value].flat()) form.append(key, new Blob([each]));
      for (const [called, octets] of files) form.append("capture", new Blob([octets]), called);
      response = await fetch(new URL(`ask/${name}`, link), { method: "POST", body: form });
    } else {
      response = await fetch(new URL(`ask/${name}`, link), { method: "POST", body: JSON.stringify(question) });
    }
    const given = files ? { ...question, files: files.map(([called, octets]) => ({ name: called, octets: octets.toString("hex") })) } : question;
    const inside = await ask(name, given);
    const where = `${name} ${JSON.stringify(question).slice(0, 200)}`;
    same(inside.status, response.status, where);
    // No page is there for a question that there is not; the words differ.
    if (inside.status !== 404) same(timeless(JSON.stringify(inside.answer)), timeless(JSON.stringify(await response.json())), where);
    (answered[name] ??= {})[inside.status] = (answered[name][inside.status] ?? 0) + 1;
  }
});
const never = Object.entries(answered).filter(([name, statuses]) => name !== "nothing" && !statuses[200]).map(([name]) => name);
if (never.length) throw new Error(`never answered: ${never}`);
console.log(`-- the same answers: ${JSON.stringify(answered)}`);
