// Who answers in the lab in one file: the library that is in the same file. It stands for src/page/answers.js.

import { library } from "./library.js";

/** The library, compressed, as the file has it. */
async function inside() {
  const packed = Uint8Array.from(atob(document.getElementById("library").textContent), (each) => each.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

const asked = await library(await inside());

export async function question(what, request) {
  return asked(what, request);
}

/** Files go in as hexadecimal digits. */
export async function upload(what, request, files, progress, signal) {
  const total = files.reduce((sum, file) => sum + file.size, 0);
  const given = [];
  let loaded = 0;
  for (const file of files) {
    const digits = [];
    for (const octet of new Uint8Array(await file.arrayBuffer())) digits.push(octet.toString(16).padStart(2, "0"));
    given.push({ name: file.name, octets: digits.join("") });
    progress?.(loaded += file.size, total);
    // What was said is shown before the work begins.
    await new Promise((done) => { setTimeout(done, 20); });
    if (signal?.aborted) throw new DOMException("Stopped.", "AbortError");
  }
  return asked(what, { ...request, files: given });
}
