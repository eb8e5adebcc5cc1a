// The page of the program, as it is served on this machine, for as long as something is asked of it.

import { spawn } from "node:child_process";
import { createInterface } from "node:readline";

/** Gives `work` the link, and ends the page afterwards. */
export async function withPage(program, work) {
  const page = spawn(program, ["page"], { stdio: ["ignore", "pipe", "ignore"] });
  try {
    const [link] = await new Promise((done, failed) => {
      page.once("error", failed);
      page.once("exit", () => failed(new Error(`${program} page ended`)));
      createInterface({ input: page.stdout }).once("line", (line) => done([line]));
    });
    return await work(link);
  } finally {
    page.kill();
  }
}
