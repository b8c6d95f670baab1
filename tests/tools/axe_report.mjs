// Runs axe-core over a report in headless Chromium, light and dark, and prints what it finds as JSON.
//
//   node axe_report.mjs NODE_MODULES CHROMIUM REPORT.html
//
// NODE_MODULES is a folder with playwright-core and axe-core, CHROMIUM the browser's program. Also printed: every request
// that the page made beside the report itself, whether anything in it ran as a script, how many pages it prints on, and
// which tables stick out of the printed page.

import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [modules, chromium, report] = process.argv.slice(2);
const require = createRequire(join(resolve(modules), "index.js"));
const { chromium: browsers } = require("playwright-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const address = pathToFileURL(resolve(report)).href;

const browser = await browsers.launch({ executablePath: chromium, args: ["--no-sandbox"] });
const found = { violations: [], requests: [], dialogs: 0, errors: [], sticking_out: [], widest: 0 };
for (const colorScheme of ["light", "dark"]) {
  const page = await browser.newPage({ colorScheme, bypassCSP: true });
  page.on("request", (request) => {
    if (request.url() !== address && !request.url().startsWith("data:")) found.requests.push(request.url());
  });
  page.on("dialog", (dialog) => { found.dialogs += 1; dialog.dismiss(); });
  page.on("pageerror", (error) => found.errors.push(String(error)));
  await page.goto(address, { waitUntil: "load" });
  await page.evaluate(axe);
  const result = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ["violations"] }));
  for (const { id, impact, nodes } of result.violations) {
    found.violations.push({ colorScheme, id, impact, count: nodes.length, first: nodes[0].html.slice(0, 200) });
  }
  await page.close();
}
const page = await browser.newPage({ viewport: { width: 672, height: 950 } }); // the text area of A4, 178 mm at 96 dpi
await page.emulateMedia({ media: "print" });
await page.goto(address, { waitUntil: "load" });
Object.assign(found, await page.evaluate(() => {
  const width = document.documentElement.clientWidth;
  const tables = [...document.querySelectorAll("table, figure")];
  return {
    widest: document.documentElement.scrollWidth - width,
    sticking_out: tables.filter((one) => one.getBoundingClientRect().right > width + 1).map((one) => one.innerText.slice(0, 80)),
  };
}));
await browser.close();
console.log(JSON.stringify(found, null, 2));
