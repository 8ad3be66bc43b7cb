// Opens every page of the built book in headless Chromium with the units switched to one system, and fails where a figure of the other one
// is still to be seen, in words and in a table's head too. Then it goes to the text of a page by its skip link, from the keyboard.
// Usage: node .ci/units.mjs SITE MODULES     MODULES  a node_modules with puppeteer-core
import { existsSync, readdirSync } from "node:fs";
import { createRequire } from "node:module";
import { join, resolve } from "node:path";

const [siteGiven, modules] = process.argv.slice(2);
const site = resolve(siteGiven);
const require = createRequire(join(resolve(modules), "_"));
const { default: puppeteer } = await import(require.resolve("puppeteer-core"));

const NUMBER = String.raw`\d(?:[\d.,]*\d)?\s?(?:to\s\d(?:[\d.,]*\d)?\s?)?`;
// Not what has no counterpart: milligrams in water are told so everywhere.
const METRIC = String.raw`(?:mm|cm|m|km|cm²|m²|mL|L|L/h|L/min|L/day|g|kg|°C|cm/s|m/s)`;
const US = String.raw`(?:in(?! all| the)|ft|sq ft|sq in|cu in|US gal|US gal/h|US gal/min|fl oz|US fl oz|oz|lb|°F|in/s|ft/s|lb/sq ft|psi)`;
const other = { metric: new RegExp(`${NUMBER}${US}(?![\\w/²³])`, "g"), us: new RegExp(`${NUMBER}${METRIC}(?![\\w/²³])`, "g") };
// mdBook's own, the pages that list what stands elsewhere, and the one on which either system may be typed.
const skipped = new Set(["404.html", "print.html", "toc.html", "ledger.html", "rules.html", "how-this-book-was-checked.html", "your-tank.html"]);

const browser = await puppeteer.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu"] });
let wrong = 0;
let looked = 0;
try {
  const page = await browser.newPage();
  const sheets = existsSync(join(site, "sheets")) ? readdirSync(join(site, "sheets")).map((name) => `sheets/${name}`) : [];
  for (const name of [...readdirSync(site), ...sheets].filter((name) => name.endsWith(".html") && !skipped.has(name)).sort()) {
    for (const units of ["metric", "us"]) {
      await page.goto(`file://${join(site, name)}`);
      await page.evaluate((units) => { document.documentElement.dataset.units = units; }, units);
      await page.evaluate(() => { for (const details of document.querySelectorAll("main details")) details.open = true; });
      // Files and commands say what somebody typed; a check says what is printed elsewhere.
      await page.evaluate(() => { for (const part of document.querySelectorAll("main :is(pre, code, textarea, details.checked)")) part.remove(); });
      const text = await page.evaluate(() => [document.querySelector("main").innerText, ...[...document.querySelectorAll("main svg text")].filter((text) => text.checkVisibility()).map((text) => text.textContent)].join("\n"));
      looked += 1;
      for (const { 0: found, index: at } of text.matchAll(other[units])) {
        wrong += 1;
        console.log(`${name}, ${units} only: "${text.slice(Math.max(0, at - 50), at + found.length + 20).replaceAll("\n", " ")}"`);
      }
    }
  }
  await page.goto(`file://${join(site, "feeding.html")}`);
  await page.keyboard.press("Tab");
  const first = await page.evaluate(() => document.activeElement.textContent);
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => document.activeElement.matches("main"), { timeout: 5000 });
  console.log(`"${first}" leads to the text`);
} finally {
  await browser.close();
}
console.log(`${looked} pages looked at in one system of units: ${wrong} figures of the other`);
process.exit(wrong === 0 && looked > 50 ? 0 : 1);
