// Makes the lab in one file: make.mjs PROGRAM LIBRARY.wasm SCRIPT OUT. The page is the program's own, with everything
// that it would load put into it, and the library in place of the program.

import { readFileSync, writeFileSync } from "node:fs";
import { gzipSync } from "node:zlib";
import { withPage } from "./page.mjs";

const [program, wasm, script, out] = process.argv.slice(2);

/** It may run what is in it, and load nothing. */
const POLICY = "default-src 'none'; script-src 'unsafe-inline' 'wasm-unsafe-eval'; style-src 'unsafe-inline'; img-src data:; "
  + "base-uri 'none'; form-action 'none'";

const served = await withPage(program, async (link) => {
  const text = async (name) => (await fetch(new URL(name, link))).text();
  const [html, icon, ...styles] = await Promise.all(["./", "icon.svg", "style.css", "page.css"].map(text));
  return { html, icon, styles };
});

let page = served.html;
/** Puts something in the place of what has to be there exactly once. */
function put(place, text) {
  const parts = page.split(place);
  if (parts.length !== 2) throw new Error(`${parts.length - 1} times in the page: ${place}`);
  page = parts.join(text);
}

put('<meta charset="utf-8">', `<meta charset="utf-8">\n<meta http-equiv="Content-Security-Policy" content="${POLICY}">`);
put('href="icon.svg"', `href="data:image/svg+xml,${encodeURIComponent(served.icon)}"`);
put('<link rel="stylesheet" href="style.css">\n', "");
put('<link rel="stylesheet" href="page.css">', `<style>\n${served.styles.join("\n")}\n</style>`);
put('<script type="module" src="page.js"></script>\n', "");
put("which comes from the program on this machine alone", "all of which is in this file");
const library = gzipSync(readFileSync(wasm), { level: 9 }).toString("base64");
put("</body>", `<script type="text/plain" id="library">${library}</script>\n`
  + `<script type="module">\n${readFileSync(script, "utf8").replaceAll("</script", "<\\/script")}</script>\n</body>`);
if (/(?:src|href)="(?![#?"]|data:)/.test(page)) throw new Error("the page would load something");
writeFileSync(out, page);
console.log(`-- ${page.length} bytes, of which ${library.length} are the library`);
