// Runs axe-core over every page of the built book in headless Chromium, light and dark, and fails at any violation.
// Usage: node .ci/accessibility.mjs SITE_FOLDER AXE_FILE
import { execFileSync } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const [site, axeFile] = process.argv.slice(2);
const folder = mkdtempSync(join(tmpdir(), "accessibility-"));
const axe = readFileSync(axeFile, "utf8").replaceAll("</script>", "<\\/script>");
// mdBook's own: no reader opens the contents or the print page by themselves, and the 404 page finds its styles on a server only.
const skipped = new Set(["404.html", "print.html", "toc.html"]);
let violations = 0;
let runs = 0;

// The page as it stands once its scripts have run. A browser that crashes, as on a machine short of memory, is started again: what counts
// is what axe-core finds in a page, not whether the browser lived.
function opened(address, tries = 3) {
  const profile = mkdtempSync(join(tmpdir(), "chromium-"));
  try {
    return execFileSync("chromium", ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
      "--disable-background-networking", "--disable-component-update", "--disable-sync", "--allow-file-access-from-files",
      `--user-data-dir=${profile}`, "--virtual-time-budget=20000", "--dump-dom", address],
      { encoding: "utf8", maxBuffer: 1 << 28, stdio: ["ignore", "pipe", "ignore"] });
  } catch (error) {
    if (tries <= 1 || !error.signal) throw error;
    console.log(`the browser crashed (${error.signal}); once more`);
    return opened(address, tries - 1);
  } finally {
    rmSync(profile, { recursive: true, force: true });
  }
}

try {
  cpSync(site, folder, { recursive: true });
  for (const page of readdirSync(site).filter((name) => name.endsWith(".html") && !skipped.has(name)).sort()) {
    for (const theme of ["light", "navy"]) {
      const probe = `<script>localStorage.setItem("mdbook-theme", "${theme}")</script>`;
      const run = `<script>${axe}</script><script>
        axe.run(document, { resultTypes: ["violations"] }).then((result) => {
          const found = result.violations.map((v) => ({ id: v.id, help: v.help, nodes: v.nodes.slice(0, 3).map((n) => n.html.slice(0, 160)) }));
          const out = document.createElement("pre");
          out.id = "axe-result";
          out.textContent = JSON.stringify(found);
          document.body.append(out);
        });</script>`;
      const html = readFileSync(join(site, page), "utf8").replace("<head>", `<head>${probe}`).replace("</body>", `${run}</body>`);
      writeFileSync(join(folder, page), html);
      const result = opened(`file://${join(folder, page)}`).match(/<pre id="axe-result">([^]*?)<\/pre>/);
      if (!result) throw new Error(`${page}: axe gave no result`);
      runs += 1;
      const found = JSON.parse(result[1].replaceAll("&lt;", "<").replaceAll("&gt;", ">").replaceAll("&amp;", "&"));
      for (const { id, help, nodes } of found) {
        violations += 1;
        console.log(`${page} (${theme}): ${id}: ${help}`);
        nodes.forEach((node) => console.log(`    ${node}`));
      }
    }
  }
} finally {
  rmSync(folder, { recursive: true, force: true });
}
console.log(`${runs} runs of axe-core, ${violations} violations`);
process.exit(violations === 0 && runs > 0 ? 0 : 1);
