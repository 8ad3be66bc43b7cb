// A reader's own tank in a real browser: types one in, walks the book with it, and holds what is seen against a book built for that tank.
// Usage: node .ci/live.mjs RECKONER SITE TANKS MODULES [WALKED]
//   RECKONER  the program; SITE  the built book; TANKS  a folder of tank files; MODULES  a node_modules with puppeteer-core and axe-core
//   WALKED    how many of the tanks are walked through all pages; all of them unless it is given
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import { cpSync, mkdirSync, mkdtempSync, readFileSync, readdirSync, rmSync, statSync, writeFileSync } from "node:fs";
import { createServer } from "node:http";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { basename, extname, join, resolve } from "node:path";
import { gunzipSync, gzipSync } from "node:zlib";

const [reckoner, siteGiven, tanksFolder, modules, walked] = process.argv.slice(2);
const site = resolve(siteGiven);
const require = createRequire(join(resolve(modules), "package.json"));
const { default: puppeteer } = await import(require.resolve("puppeteer-core"));
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const folder = mkdtempSync(join(tmpdir(), "live-"));
const run = (...args) => execFileSync(reckoner, args, { encoding: "utf8", maxBuffer: 1 << 28, stdio: ["ignore", "pipe", "ignore"] });
const pages = [...readdirSync(site), ...readdirSync(join(site, "sheets")).map((name) => `sheets/${name}`)]
  .filter((name) => name.endsWith(".html") && !["404.html", "toc.html", "index.html"].includes(name)).sort();
const tanks = readdirSync(tanksFolder).filter((name) => name.endsWith(".toml")).sort().map((name) => join(tanksFolder, name));
const median = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];

// What a site is sent with where its owner is careful; mdBook's own inline scripts do not run then.
const POLICY = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; font-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none'";
const TYPES = { ".html": "text/html; charset=utf-8", ".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml", ".png": "image/png", ".json": "application/json" };
function served(policy) {
  return new Promise((ready) => {
    const server = createServer((request, response) => {
      const file = join(site, decodeURIComponent(new URL(request.url, "http://x").pathname).replace(/\/$/, "/index.html"));
      try {
        const body = readFileSync(file);
        response.writeHead(200, { "content-type": TYPES[extname(file)] ?? "application/octet-stream", ...(policy && { "content-security-policy": policy }) });
        response.end(body);
      } catch {
        response.writeHead(404).end();
      }
    }).listen(0, "127.0.0.1", () => ready({ server, home: `http://127.0.0.1:${server.address().port}` }));
  });
}

// A browser with a profile of its own. A page that crashes it fails the test; nothing is tried twice.
async function browsed(work, options = {}) {
  const browser = await puppeteer.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu"], protocolTimeout: 120000 });
  try {
    const page = await browser.newPage();
    const errors = [];
    // mdBook's own inline scripts do not run under a strict policy, and its other scripts miss them.
    const isOfBook = ({ message }) => options.strict && /^(path_to_root|default_theme) is not defined$/.test(message);
    page.on("pageerror", (error) => isOfBook(error) || errors.push(`${page.url()}: ${error.message}`));
    await page.setViewport({ width: options.width ?? 1280, height: 900 });
    const result = await work(page, browser);
    assert.deepEqual(errors, [], "errors of scripts");
    return result;
  } finally {
    await browser.close();
  }
}

const open = (page, address) => page.goto(address, { waitUntil: "load" });
const formReady = (page) => page.waitForSelector("#tank-form:not([hidden])");
const ownReady = (page) => page.waitForSelector("html[data-tank]");
// What a reader sees of a page, without the bar above it and what is there to move pumps with.
const seen = (page) => page.$eval("main", (main) => {
  const added = [...main.querySelectorAll(".tank-bar, .pump-handles")].filter((part) => !part.hidden);
  for (const part of added) part.hidden = true;
  const text = main.innerText;
  for (const part of added) part.hidden = false;
  return text.replace(/[ \t]+/g, " ").replace(/\s*\n\s*/g, "\n").trim();
});
const text = (page, selector) => page.$eval(selector, (element) => element.textContent);
const keep = (page, text) => page.evaluate((text) => {
  const key = `reckoner-tanks ${new URL(".", location.href).pathname}`;
  localStorage.setItem(key, JSON.stringify({ kept: [{ id: "1", name: "walked", text }], current: "1" }));
}, text);

async function type(page, path, value) {
  const place = `[data-path="${path}"]`;
  await page.waitForSelector(`${place} :is(input, select)`);
  await page.$eval(place, (field) => { const group = field.closest("details"); if (group) group.open = true; });
  const control = await page.$(`${place} :is(input, select)`);
  const [name, kind] = await control.evaluate((element) => [element.localName, element.type]);
  if (name === "select") {
    await control.select(value);
  } else if (kind === "checkbox") {
    await page.click(value === true ? `${place} input` : `${place} input[value="${value}"]`);
  } else {
    await control.evaluate((element) => element.select());
    await control.type(value);
    await page.keyboard.press("Tab");
  }
}
const settled = (page, words) => page.waitForFunction((words) => document.querySelector("#tank-state").textContent.includes(words), {}, words);
const RECKONED = "All of it can be reckoned";

async function checkAccess(page, what) {
  await page.evaluate(axe);
  const found = await page.evaluate(() => axe.run(document, { resultTypes: ["violations"] }).then(({ violations }) =>
    violations.map(({ id, nodes }) => `${id}: ${nodes.slice(0, 3).map((node) => node.html.slice(0, 120)).join(" | ")}`)));
  assert.deepEqual(found, [], what);
}

const done = (what) => console.log(`ok: ${what}`);
const { server, home } = await served();
const strict = await served(POLICY);
try {
  // ------------------------------------------------------------- A new user types a tank, from a folder and from a server
  for (const base of [`file://${site}`, home, strict.home]) {
    await browsed(async (page) => {
      await open(page, `${base}/introduction.html`);
      const before = await page.evaluate(() => performance.getEntriesByType("resource").map(({ name }) => name));
      assert.ok(!before.some((name) => /live\.js|engine/.test(name)), "a reader without a tank loads the engine");
      await open(page, `${base}/your-tank.html`);
      await formReady(page);
      for (const [path, value] of [["name", "Skerry"], ["glass.shape", "box"], ["glass.length", "4 ft"], ["glass.width", "50 cm"], ["glass.height", "500 mm"], ["glass.pane", "10 mm"], ["livestock.now", "soft"]]) await type(page, path, value);
      await settled(page, RECKONED);
      assert.match(await text(page, "main"), /short answer for Skerry/);
      await type(page, "glass.length", "4 fathoms");
      await settled(page, "Look again at");
      assert.match(await text(page, "#tank-glass-length-problem"), /fathoms/);
      await type(page, "glass.length", "4 ft");
      await settled(page, RECKONED);
      await page.reload({ waitUntil: "load" });
      await formReady(page);
      assert.equal(await page.$eval("#tank-glass-length", (input) => input.value), "4 ft");
      // A pump from the catalogue, then another in its place.
      await page.$eval("#tank-add-pump", (select) => { select.closest("details").open = true; });
      await page.click('[data-add="pump"]');
      for (const [path, value] of [["pump[0].setting", "60 %"], ["pump[0].height", "30 cm"], ["pump[0].depth", "10 cm"]]) if (await page.$(`[data-path="${path}"] input`)) await type(page, path, value);
      const models = await page.$$eval('[data-path="pump[0].model"] option', (options) => options.map(({ value }) => value).filter(Boolean));
      await type(page, "pump[0].model", models.at(-1));
      await page.waitForFunction((model) => document.querySelector("#tank-file").value.includes(model), {}, models.at(-1));
      // A field of it has the focus, and what waits for it must not bring it back.
      await page.focus('[data-path="pump[0].name"] input');
      await page.click('[data-remove="pump[0]"]');
      await new Promise((next) => setTimeout(next, 500));
      assert.doesNotMatch(await page.$eval("#tank-file", (area) => area.value), /\[\[pump\]\]/);
      await settled(page, RECKONED);
      // A second tank, and back to the first.
      await page.click("[data-keep=another]");
      assert.equal(await page.$eval("#tank-name", (input) => input.value), "My Tank");
      for (const [path, value] of [["name", "Holm"], ["glass.length", "60 cm"], ["glass.width", "45 cm"], ["glass.height", "45 cm"], ["glass.pane", "8 mm"], ["livestock.now", "small_polyp"]]) await type(page, path, value);
      await settled(page, RECKONED);
      await open(page, `${base}/from-volume-to-flow.html`);
      await ownReady(page);
      assert.match(await text(page, "main"), /For Holm we count/);
      const skerry = await page.$$eval("#tank-choice option", (options) => options.find(({ textContent }) => textContent === "Skerry").value);
      await page.select("#tank-choice", skerry);
      await page.waitForFunction(() => document.querySelector("main").textContent.includes("For Skerry we count"));
      // Back to the tank of the book: as it was built.
      await page.select("#tank-choice", "");
      await page.waitForSelector("html:not([data-tank])");
      const reset = await seen(page);
      await page.evaluate(() => localStorage.clear());
      await page.reload({ waitUntil: "load" });
      assert.equal(reset, await seen(page));
    }, { strict: base === strict.home });
    done(`typed, changed, a second tank, back to the book's, at ${base.split(":")[0]}${base === strict.home ? " with a strict policy" : ""}`);
  }

  // ------------------------------------------------------------- Every page is that of a book built for the tank
  const count = Number(walked ?? tanks.length);
  let compared = 0;
  // - how: the options with which the site was built, and with which each tank's is
  async function walk(site, tanks, how = []) {
    for (const tank of tanks) {
      const built = join(folder, basename(tank, ".toml"));
      run("build", ...how, "--tank", tank, "--output", built);
      await browsed(async (page, browser) => {
        await open(page, `file://${site}/introduction.html`);
        await keep(page, readFileSync(tank, "utf8"));
        const other = await (await browser.createBrowserContext()).newPage();
        await other.setViewport({ width: 1280, height: 900 });
        for (const name of pages) {
          await open(page, `file://${site}/${name}`);
          await ownReady(page);
          await open(other, `file://${built}/${name}`);
          // Where a tank is typed is no part of what the page says of it.
          if (name === "your-tank.html") {
            for (const each of [page, other]) {
              await formReady(each);
              await each.$eval("#tank-form", (form) => { form.hidden = true; });
            }
          }
          const [live, wanted] = [await seen(page), await seen(other)];
          if (live !== wanted) {
            const [a, b] = [live.split("\n"), wanted.split("\n")];
            const at = a.findIndex((line, at) => line !== b[at]);
            assert.fail(`${name} for ${tank}: "${a[at]}" and not "${b[at]}"`);
          }
          compared += 1;
        }
      });
      rmSync(built, { recursive: true, force: true });
    }
  }
  await walk(site, tanks.slice(0, count));
  assert.ok(compared > 0, "no page was compared");
  done(`${compared} pages of ${count} tanks read as in a book built for the tank`);

  // ------------------------------------------------------------- A rule, a club and pumps of one's own reach the live pages, and nothing is compiled
  const edition = join(folder, "edition");
  const [book, rules, owned] = ["book", "rules", "tanks"].map((name) => join(edition, name));
  const project = join(import.meta.dirname, "..");
  cpSync(join(project, "book"), book, { recursive: true, filter: (from) => from !== join(project, "book", "book") });
  [rules, owned].forEach((name) => mkdirSync(name));
  // Writes a text with something of it changed; what is not in it fails the test.
  const changed = (from, to, what, into) => {
    const before = readFileSync(from, "utf8");
    const after = before.replace(what, into);
    assert.notEqual(after, before, `nothing to change in ${from}`);
    writeFileSync(to, after);
  };
  const renamed = [/^model = "/gm, 'model = "New '];
  changed(join(book, "pumps.toml"), join(book, "pumps.toml"), ...renamed);
  for (const name of readdirSync(join(book, "tanks"))) changed(join(book, "tanks", name), join(book, "tanks", name), ...renamed);
  changed(join(book, "club.toml"), join(book, "club.toml"), /^name = .*$/m, 'name = "Holm Reef Keepers"\nnumbers = "comma"');
  const [fouling] = readFileSync(join(project, "calc/rules/turnover.toml"), "utf8").match(/^\[fouling_allowance\]\n(?:.+\n)+/m);
  writeFileSync(join(rules, "turnover.toml"), fouling);
  changed(join(rules, "turnover.toml"), join(rules, "turnover.toml"), /^value = .*$/m, 'value = "30 %"');
  const ownTank = tanks.find((tank) => /^model = "/m.test(readFileSync(tank, "utf8")));
  changed(ownTank, join(owned, "own.toml"), ...renamed);
  const how = ["--book", book, "--rules", rules];
  run("build", ...how, "--output", join(edition, "site"));
  const before = compared;
  await walk(join(edition, "site"), [join(owned, "own.toml")], how);
  await browsed(async (page) => {
    await open(page, `file://${join(edition, "site")}/introduction.html`);
    await keep(page, readFileSync(join(owned, "own.toml"), "utf8"));
    await open(page, `file://${join(edition, "site")}/from-volume-to-flow.html`);
    await ownReady(page);
    assert.ok((await seen(page)).includes("30\u00a0%"), "the rule of one's own is not in the page");
  });
  done(`${compared - before} pages read so with a rule, a club with the decimal comma, and pumps of one's own`);

  // ------------------------------------------------------------- A sheet for paper is about the tank: its head, its edition, its code
  await browsed(async (page) => {
    await open(page, `file://${site}/introduction.html`);
    const own = readFileSync(tanks[0], "utf8");
    await keep(page, own);
    await open(page, `file://${site}/sheets/plan.html`);
    await ownReady(page);
    const letters = createHash("sha256").update(own).digest("hex").slice(0, 4);
    await page.waitForFunction((letters) => document.querySelector(".edition").textContent.endsWith(`-${letters}`), { timeout: 5000 }, letters);
    const margins = await text(page, "#margins");
    assert.ok(margins.includes(`-${letters}`) && margins.includes("size: a4"), margins);
    assert.ok(!(await text(page, "header.head")).includes("First Reef"), "the head names the tank of the book");
    const squares = () => page.$eval("svg.code path", (path) => path.getAttribute("d").length);
    const plain = await squares();
    assert.ok(await page.$eval(".with-tank", (part) => part.hidden));
    await page.click(".sheet-bar input[type=checkbox]");
    await page.waitForFunction(() => !document.querySelector(".with-tank").hidden, { timeout: 5000 });
    assert.ok((await squares()) > plain * 3, "the code carries no tank");
    await page.click(".sheet-bar input[type=checkbox]");
    await page.waitForFunction(() => document.querySelector(".with-tank").hidden, { timeout: 5000 });
    assert.equal(await squares(), plain);
    await page.$eval(".sheet-bar input[type=date]", (input) => { input.value = "2027-03-01"; input.dispatchEvent(new Event("input")); });
    assert.ok((await text(page, "#margins")).includes(`-${letters} · 1 March 2027"`), await text(page, "#margins"));
    assert.ok((await text(page, ".imprint")).includes(`-${letters}, 1 March 2027.`), await text(page, ".imprint"));
    await page.select(".sheet-bar label:has(option[value=letter]) select", "letter");
    assert.ok((await text(page, "#margins")).includes("size: letter"));
    await page.reload({ waitUntil: "load" });
    assert.ok((await text(page, "#margins")).includes("size: letter"), "the paper is forgotten");
    await page.evaluate(() => localStorage.clear());
    await page.reload({ waitUntil: "load" });
    assert.ok((await text(page, "header.head")).includes("First Reef"));
  });
  done("a sheet for paper turns to the tank, with its edition, its code and its paper");

  // ------------------------------------------------------------- What is saved is what the command line writes
  const downloads = join(folder, "downloads");
  mkdirSync(downloads);
  await browsed(async (page, browser) => {
    await (await browser.target().createCDPSession()).send("Browser.setDownloadBehavior", { behavior: "allow", downloadPath: downloads });
    for (const tank of tanks) {
      await open(page, `file://${site}/your-tank.html`);
      await keep(page, readFileSync(tank, "utf8"));
      await page.reload({ waitUntil: "load" });
      await formReady(page);
      await page.$eval("#tank-from", (input) => { input.value = "2026-03-01"; });
      const saved = async (button) => {
        const before = new Set(readdirSync(downloads));
        await page.$eval(`[data-keep=${button}]`, (element) => element.click());
        for (let waited = 0; waited < 100; waited += 1) {
          const fresh = readdirSync(downloads).filter((name) => !before.has(name) && !name.endsWith(".crdownload"));
          // A file that was only just made is still empty.
          if (fresh.length && statSync(join(downloads, fresh[0])).size > 0) {
            await new Promise((next) => setTimeout(next, 50));
            return readFileSync(join(downloads, fresh[0]), "utf8");
          }
          if (waited === 20 && /^Not yet/.test(await text(page, "#tank-keep [role=status]"))) return null;
          await new Promise((next) => setTimeout(next, 50));
        }
        return assert.fail(`${button} saved nothing`);
      };
      const command = (...args) => { try { return run(...args); } catch { return null; } };
      assert.equal(await saved("file"), readFileSync(tank, "utf8"));
      assert.equal(await saved("sheet"), command("sheet", tank, "--format", "json"), tank);
      assert.equal(await saved("programme"), command("programme", tank), tank);
      // Both say when they were made.
      const timeless = (calendar) => calendar.replace(/^(DTSTAMP|LAST-MODIFIED|CREATED|SEQUENCE):.*$/gm, "$1");
      assert.equal(timeless(await saved("calendar")), timeless(command("calendar", tank, "--from", "2026-03-01")), tank);
      for (const name of readdirSync(downloads)) rmSync(join(downloads, name));
    }
  });
  done(`file, sheet, day and calendar of ${tanks.length} tanks are those of the command line`);

  // ------------------------------------------------------------- A link in a fresh profile, asked about first
  const hostile = '<img src=x onerror="window.hurt=1">{{#include /etc/hostname}}';
  await browsed(async (page) => {
    await open(page, `${home}/your-tank.html`);
    await formReady(page);
    for (const [path, value] of [["name", hostile], ["glass.length", "80 cm"], ["glass.width", "45 cm"], ["glass.height", "45 cm"], ["glass.pane", "8 mm"], ["livestock.now", "large_polyp"]]) await type(page, path, value);
    await settled(page, RECKONED);
    await page.click("[data-keep=link]");
    await page.waitForSelector("#tank-link:not([hidden])");
    const address = await page.$eval("#tank-link", (input) => input.value);
    assert.match(address, /^http:\/\/127\.0\.0\.1:\d+\/your-tank\.html#tank=[\w-]+$/);
    for (const name of ["from-volume-to-flow.html", "a-page-to-print.html"]) {
      await open(page, `${home}/${name}`);
      await ownReady(page);
      assert.equal(await page.evaluate(() => window.hurt), undefined);
      assert.ok((await text(page, "main")).includes(hostile), "the name is not shown as it was typed");
    }
    await browsed(async (page) => {
      await open(page, address);
      await page.waitForSelector(".tank-bar .offer");
      assert.equal(await page.evaluate(() => [localStorage.length, document.documentElement.dataset.tank, location.hash, window.hurt].join()), "0,,,");
      const buttons = () => page.$$eval(".tank-bar button", (found) => found.map(({ textContent }) => textContent));
      assert.deepEqual(await buttons(), ["Look at it", "Keep it", "Leave it"]);
      await (await page.$$(".tank-bar .offer button"))[0].click();
      await ownReady(page);
      assert.ok((await text(page, "main")).includes(hostile));
      assert.equal(await page.evaluate(() => localStorage.length), 0);
      const keepIt = (await page.$$(".tank-bar button")).at(-2);
      await keepIt.click();
      await page.waitForFunction(() => document.querySelector("#tank-choice"));
      assert.equal(await page.evaluate(() => window.hurt), undefined);
      for (const broken of ["#tank=AAAA", "#tank=!!", `#tank=${"A".repeat(300000)}`]) {
        await page.goto("about:blank");
        await open(page, `${home}/introduction.html${broken}`);
        await page.waitForFunction(() => document.querySelector(".tank-bar")?.textContent.includes("can not be read"));
      }
    });
  });
  done("a link is asked about first; a hostile name and broken links do nothing");

  // ------------------------------------------------------------- A broken file
  await browsed(async (page) => {
    await open(page, `${home}/your-tank.html`);
    await formReady(page);
    const file = join(folder, "broken.toml");
    writeFileSync(file, 'name = "Broken"\n[glass]\nshape = "box"\nlength = 90\nwidth = "1 m\n');
    await (await page.$("#tank-import")).uploadFile(file);
    await settled(page, "can not be read");
    await page.click("#tank-tab-file");
    const told = await page.$$eval("#tank-file-problems li", (items) => items.map(({ textContent }) => textContent));
    assert.ok(told.length > 0 && told.every((line) => /^line \d+: /.test(line)), `${told}`);
    let words = "";
    try { execFileSync(reckoner, ["sheet", file], { encoding: "utf8", stdio: ["ignore", "pipe", "pipe"] }); } catch (error) { words = error.stderr; }
    assert.ok(words.includes(told[0].replace(/^line \d+: /, "").split(";")[0]), `${told[0]} is not what the command line says:\n${words}`);
    // Mended in the text, it is shown.
    await page.$eval("#tank-file", (area) => {
      area.value = 'name = "Mended"\n[glass]\nshape = "box"\nlength = "90 cm"\nwidth = "45 cm"\nheight = "45 cm"\npane = "8 mm"\n[livestock]\nnow = "soft"\n';
      area.dispatchEvent(new Event("input", { bubbles: true }));
    });
    await settled(page, RECKONED);
    assert.match(await text(page, "main"), /short answer for Mended/);
  });
  done("a broken file is told in the words of the command line, and mended");

  // ------------------------------------------------------------- Storage forbidden
  await browsed(async (page) => {
    await page.evaluateOnNewDocument(() => Object.defineProperty(window, "localStorage", { get() { throw new DOMException("denied", "SecurityError"); } }));
    await open(page, `${home}/your-tank.html`);
    await formReady(page);
    for (const [path, value] of [["name", "Passing"], ["glass.length", "80 cm"], ["glass.width", "45 cm"], ["glass.height", "45 cm"], ["glass.pane", "8 mm"], ["livestock.now", "soft"]]) await type(page, path, value);
    await settled(page, RECKONED);
    await page.waitForFunction(() => document.querySelector('main a[href*="from-volume-to-flow.html#tank="]'));
    await Promise.all([page.waitForNavigation({ waitUntil: "load" }), page.$eval('main a[href*="from-volume-to-flow.html"]', (a) => a.click())]);
    await ownReady(page);
    assert.match(await text(page, "main"), /For Passing we count/);
    assert.match(await text(page, ".tank-bar"), /keeps nothing/);
  });
  done("where nothing can be kept, the links carry the tank");

  // ------------------------------------------------------------- Without scripts, and where WebAssembly is forbidden
  await browsed(async (page) => {
    await page.setJavaScriptEnabled(false);
    await open(page, `file://${site}/your-tank.html`);
    assert.equal(await page.$eval(".needs-script", (note) => note.checkVisibility()), true);
    assert.equal(await page.$eval("#tank-form", (form) => form.checkVisibility()), false);
    assert.equal(await page.$eval("main a.to-ledger", (a) => a.getAttribute("href").startsWith("ledger.html#")), true);
  });
  const closed = await served(POLICY.replace(" 'wasm-unsafe-eval'", ""));
  await browsed(async (page) => {
    await open(page, `${closed.home}/your-tank.html`);
    await page.waitForFunction(() => document.querySelector(".tank-bar")?.textContent.includes("does not allow WebAssembly"));
  }, { strict: true });
  closed.server.close();
  done("without scripts, and without WebAssembly, the page says what it needs");

  // ------------------------------------------------------------- Why
  await browsed(async (page) => {
    for (const own of [false, true]) {
      if (own) await keep(page, readFileSync(tanks[0], "utf8"));
      await open(page, `file://${site}/from-volume-to-flow.html`);
      if (own) await ownReady(page);
      const figure = await page.$eval('a.to-ledger [data-figure="flow.later"], a.to-ledger [data-figure="tank.counted"]', (data) => data.textContent);
      await page.focus("main p a.to-ledger");
      await page.keyboard.press("Enter");
      await page.waitForSelector("#why:not([hidden])");
      assert.ok((await text(page, "#why .why-title")).includes(figure), "the panel is about another figure");
      const title = await text(page, "#why .why-title");
      const [step] = await page.$$("#why [data-why]");
      await step.click();
      await page.waitForFunction((title) => document.querySelector("#why .why-title").textContent !== title, {}, title);
      assert.ok((await page.$$("#why .why-rules li, #why .why-from li, #why .formula")).length > 0);
      if (own) await checkAccess(page, "the panel");
      await page.keyboard.press("Escape");
      assert.equal(await page.evaluate(() => document.activeElement.className), "to-ledger");
      await page.focus(".table-wrapper[tabindex]:has([data-figure])");
      await page.keyboard.press("Enter");
      await page.waitForFunction(() => document.querySelectorAll("#why:not([hidden]) .why-title + .why-from li").length > 2);
    }
  });
  done("why: from the keyboard, a step further, for the book's tank and one's own");

  // ------------------------------------------------------------- A pump is moved on the map
  for (const width of [1280, 390]) {
    await browsed(async (page) => {
      const tank = readFileSync(join(project, "book", "tanks", "first_reef.toml"), "utf8");
      await open(page, `file://${site}/the-map-of-speeds.html`);
      assert.equal(await page.$(".pump-handles"), null, "pumps can be moved that no tank of a reader has");
      await keep(page, tank);
      await page.reload({ waitUntil: "load" });
      await ownReady(page);
      await page.waitForSelector(".pump-handles:not([hidden]) .handle");
      const file = () => page.evaluate(() => JSON.parse(localStorage.getItem(`reckoner-tanks ${new URL(".", location.href).pathname}`)).kept[0].text);
      const holds = (key) => page.waitForFunction((key) => localStorage.getItem(`reckoner-tanks ${new URL(".", location.href).pathname}`).includes(key.replaceAll('"', '\\"')), {}, key);
      const shown = () => page.$eval("main .table-wrapper:has([data-figure^=map_zones])", ({ innerText }) => innerText);
      const differs = (before) => page.waitForFunction((before) => document.querySelector("main .table-wrapper:has([data-figure^=map_zones])").innerText !== before, {}, before);
      // Where the handle of a pump lies, and its pump on the map.
      const both = (name) => page.evaluate((name) => {
        const handle = document.querySelector(`.pump-handles .handle[aria-label^="${name}"]`);
        handle.scrollIntoView({ block: "center", behavior: "instant" });
        const mark = document.querySelectorAll("figure[id$=from_above-map] circle.pump")[["left", "right"].indexOf(name)];
        return [handle, mark].map((element) => { const { left, top, width, height } = element.getBoundingClientRect(); return [left + width / 2, top + height / 2]; });
      }, name);
      const handle = async (name) => (await both(name))[0];
      const lies = async (name) => {
        const [[x, y], [wantedX, wantedY]] = await both(name);
        assert.ok(Math.hypot(x - wantedX, y - wantedY) < 3, `the handle of ${name} lies at ${x}, ${y} and its pump at ${wantedX}, ${wantedY}`);
      };
      await lies("left");
      await lies("right");
      await checkAccess(page, `the map with handles at ${width}`);
      // With the keyboard.
      const before = await shown();
      await page.focus('.pump-handles .handle[aria-label^="left"]');
      for (let at = 0; at < 3; at += 1) await page.keyboard.press("PageDown");
      await page.keyboard.press("ArrowUp");
      await holds('along = "21 %"');
      await differs(before);
      assert.equal((await file()).replace('along = "21 %"\n', ""), tank, "more than the place of the pump has changed");
      assert.match(await page.evaluate(() => document.activeElement.getAttribute("aria-label")), /^left/, "the focus is lost");
      assert.match(await text(page, ".pump-handles [role=status]"), /left now hangs 21 % from the front/);
      await lies("left");
      // With the pointer, and back with it: what is let go where it was changes nothing.
      const [moved, [x, y]] = [await shown(), await handle("right")];
      await page.mouse.move(x, y);
      await page.mouse.down();
      await page.mouse.move(x, y - 10, { steps: 3 });
      await page.mouse.move(x + 5, y - 40, { steps: 5 });
      await page.mouse.up();
      await differs(moved);
      const along = (await file()).match(/name = "right"[^[]*along = "(\d+) %"/)[1];
      assert.ok(Number(along) > 55, `right hangs at ${along} %`);
      await lies("right");
      const kept = await file();
      const again = await handle("right");
      await page.mouse.move(...again);
      await page.mouse.down();
      await page.mouse.up();
      assert.equal(await file(), kept);
      // A tank whose pumps are those of a plan has none to move.
      await keep(page, tank.replace(/\[\[pump\]\][^[]*/g, ""));
      await page.reload({ waitUntil: "load" });
      await ownReady(page);
      assert.equal(await page.$(".pump-handles:not([hidden])"), null);
    }, { width });
  }
  done("a pump is moved on the map by keyboard and pointer, and the file and the page follow");

  // ------------------------------------------------------------- Looks: axe-core, a phone, print
  for (const width of [1280, 390]) {
    await browsed(async (page) => {
      await open(page, `file://${site}/your-tank.html`);
      await formReady(page);
      await checkAccess(page, `the empty form at ${width}`);
      await keep(page, readFileSync(tanks[1], "utf8"));
      for (const theme of ["light", "navy"]) {
        await page.evaluate((theme) => localStorage.setItem("mdbook-theme", theme), theme);
        for (const name of ["your-tank.html", "power-cuts.html"]) {
          await open(page, `file://${site}/${name}`);
          await ownReady(page);
          if (name === "your-tank.html") await formReady(page);
          await page.$$eval("details", (all) => all.forEach((one) => { one.open = true; }));
          await checkAccess(page, `${name} at ${width}, ${theme}`);
          const beyond = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
          assert.ok(beyond <= 0, `${name} is ${beyond} px wider than ${width}`);
        }
      }
    }, { width });
  }
  await browsed(async (page) => {
    await open(page, `file://${site}/a-page-to-print.html`);
    const before = await seen(page);
    await keep(page, readFileSync(tanks[1], "utf8"));
    await page.reload({ waitUntil: "load" });
    await ownReady(page);
    assert.notEqual(await seen(page), before);
    const pdf = join(folder, "page.pdf");
    await page.pdf({ path: pdf, format: "A4" });
    assert.ok(statSync(pdf).size > 20000);
    const name = readFileSync(tanks[1], "utf8").match(/^name = "(.*)"/m)[1];
    await page.emulateMediaType("print");
    assert.ok((await seen(page)).includes(name), "the page to print does not name the tank");
  });
  done("axe-core finds nothing, a phone scrolls one way only, the page to print is the reader's");

  // ------------------------------------------------------------- Budgets
  const engine = readFileSync(join(site, "reckoner-engine.js"), "utf8");
  const packed = Buffer.from(engine.match(/"wasm":"([^"]*)"/)[1], "base64");
  const always = readdirSync(join(site, "theme")).filter((name) => name.endsWith(".js")).map((name) => readFileSync(join(site, "theme", name)));
  const marked = always.map((script) => {
    const from = script.indexOf("// A reader's own tank:");
    assert.ok(from >= 0, "the part that looks for a tank is not marked");
    return script.subarray(from);
  });
  const own = readFileSync(tanks[0], "utf8");
  // An edit as somebody types it: one measure.
  const edited = own.replace(/^pane = "(\d*\.?\d*)/m, (_, thick) => `pane = "${Number(thick) * 1.1}`);
  assert.notEqual(own, edited);
  const times = await browsed(async (page) => {
    await open(page, `file://${site}/introduction.html`);
    await keep(page, own);
    const cold = [];
    const edits = {};
    for (let at = 0; at < 7; at += 1) {
      await open(page, `file://${site}/power-cuts.html`);
      await ownReady(page);
      cold.push(await page.evaluate(() => performance.getEntriesByName("reckoner-followed")[0].startTime - performance.getEntriesByName("reckoner-begun")[0].startTime));
    }
    for (const name of ["power-cuts.html", "print.html"]) {
      await open(page, `file://${site}/${name}`);
      await ownReady(page);
      edits[name] = await page.evaluate(async (texts) => {
        const [times, whole] = [[], []];
        for (let at = 0; at < 20; at += 1) {
          const text = texts[at % texts.length];
          await new Promise((next) => setTimeout(next, 20));
          const start = performance.now();
          await window.reckonerFollow(text);
          times.push(performance.now() - start);
          // What is out of sight, as before a page is printed.
          dispatchEvent(new Event("beforeprint"));
          void document.body.offsetHeight;
          whole.push(performance.now() - start);
        }
        return { times, whole };
      }, [own, edited]);
    }
    return { cold: median(cold), chapter: median(edits["power-cuts.html"].times), book: median(edits["print.html"].times), whole: median(edits["print.html"].whole) };
  });
  // What is wanted, and what ends the test: machines differ in speed, and what grows unnoticed comes to light.
  const budgets = [
    ["WebAssembly, bytes", gunzipSync(packed).length, 1_200_000, 1_750_000],
    ["WebAssembly packed, bytes", packed.length, 360_000, 630_000],
    ["loaded without a tank, bytes packed", gzipSync(Buffer.concat(marked)).length, 2_000, 2_000],
    ["cold start, ms", times.cold, 200, 600],
    ["an edit on a chapter, what is in sight, its layout too, ms", times.chapter, 16, 100],
    ["an edit on the page of the whole book, what is in sight, its layout too, ms", times.book, 50, 300],
    ["an edit on the page of the whole book, all of it, ms", times.whole, 150, 600],
  ];
  for (const [what, is, wanted, most] of budgets) {
    console.log(`${is <= wanted ? "ok" : "more than wanted"}: ${what}: ${Math.round(is * 10) / 10} (wanted ${wanted}, at most ${most})`);
  }
  assert.ok(budgets.every(([, is, , most]) => is <= most), "a budget is overrun");
} finally {
  server.close();
  strict.server.close();
  rmSync(folder, { recursive: true, force: true });
}
console.log("The live pages hold.");
