// Runs axe-core over every page of the built book in headless Chromium, light and dark, and fails at any violation.
// Usage: node .ci/accessibility.mjs SITE MODULES     MODULES  a node_modules with axe-core and puppeteer-core
import { readFileSync, readdirSync } from "node:fs";
import { createRequire } from "node:module";
import { join, resolve } from "node:path";

const [siteGiven, modules] = process.argv.slice(2);
const site = resolve(siteGiven);
const require = createRequire(join(resolve(modules), "_"));
const { default: puppeteer } = await import(require.resolve("puppeteer-core"));
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
// mdBook's own: no reader opens the contents or the print page by themselves, and the 404 page finds its styles on a server only.
const skipped = new Set(["404.html", "print.html", "toc.html"]);
let violations = 0;
let runs = 0;

const browser = await puppeteer.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu", "--allow-file-access-from-files"] });
try {
  for (const theme of ["light", "navy"]) {
    const page = await browser.newPage();
    await page.evaluateOnNewDocument((theme) => localStorage.setItem("mdbook-theme", theme), theme);
    // Sheets for paper are as white as paper in every theme.
    const sheets = theme === "light" ? readdirSync(join(site, "sheets")).map((name) => `sheets/${name}`) : [];
    for (const name of [...readdirSync(site), ...sheets].filter((name) => name.endsWith(".html") && !skipped.has(name)).sort()) {
      await page.goto(`file://${join(site, name)}`);
      await page.evaluate(axe);
      const found = await page.evaluate(async () => (await axe.run(document, { resultTypes: ["violations"] })).violations
        .map(({ id, help, nodes }) => ({ id, help, nodes: nodes.slice(0, 3).map(({ html }) => html.slice(0, 160)) })));
      if (!name.startsWith("sheets/") && !(await page.evaluate((theme) => document.documentElement.classList.contains(theme), theme))) throw new Error(`${name} is not ${theme}`);
      runs += 1;
      for (const { id, help, nodes } of found) {
        violations += 1;
        console.log(`${name} (${theme}): ${id}: ${help}`);
        nodes.forEach((node) => console.log(`    ${node}`));
      }
    }
    await page.close();
  }
} finally {
  await browser.close();
}
console.log(`${runs} runs of axe-core, ${violations} violations`);
process.exit(violations === 0 && runs > 0 ? 0 : 1);
