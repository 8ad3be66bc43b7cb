// What mdBook's frame around the page lacks for screen readers.
(() => {
  "use strict";
  // The bar at the top is the page's banner, so that all of the page lies in a landmark.
  document.querySelector("#mdbook-menu-bar")?.setAttribute("role", "banner");
  // A label takes none of the attributes of a button; its checkbox carries the name.
  const toggle = document.querySelector("#mdbook-sidebar-toggle");
  const box = document.querySelector("#mdbook-sidebar-toggle-anchor");
  if (toggle && box) {
    box.setAttribute("aria-label", toggle.title);
    const strip = () => [...toggle.attributes].filter(({ name }) => name.startsWith("aria-")).forEach(({ name }) => toggle.removeAttribute(name));
    strip();
    // mdBook writes them again whenever the sidebar opens or closes.
    new MutationObserver(strip).observe(toggle, { attributes: true });
  }
  // From the keyboard, past bar and contents to the text.
  const main = document.querySelector("main");
  if (main) {
    main.id ||= "text-of-the-page";
    main.tabIndex = -1;
    const skip = document.createElement("a");
    Object.assign(skip, { className: "skip-link", href: `#${main.id}`, textContent: "Skip to the text" });
    document.body.prepend(skip);
    // mdBook scrolls its contents to the chapter, and some browsers then go on from there: the first step is to this link all the same.
    const first = (event) => {
      if (event.type === "keydown" && event.key !== "Tab") return;
      for (const type of ["keydown", "pointerdown"]) removeEventListener(type, first);
      if (event.key !== "Tab" || event.shiftKey || document.activeElement !== document.body) return;
      event.preventDefault();
      skip.focus();
    };
    for (const type of ["keydown", "pointerdown"]) addEventListener(type, first);
  }
})();

// A table or a drawing that is wider than its place says that it can be pushed.
(() => {
  "use strict";
  const main = document.querySelector("main");
  if (!main) return;
  const look = () => {
    for (const part of main.querySelectorAll(".table-wrapper, .drawing")) part.classList.toggle("wider", part.scrollWidth > part.clientWidth + 2);
    // What is pushed with a finger can be moved from the keyboard too.
    for (const code of main.querySelectorAll("pre > code")) if (code.scrollWidth > code.clientWidth + 2) code.tabIndex = 0;
  };
  // Not whenever the page changes its size: the hint changes it too.
  for (const type of ["load", "resize"]) addEventListener(type, look);
  main.addEventListener("toggle", look, true);
})();

// A switch for the units of the whole book: both, metric only, or US only. Both are shown where no script runs. The choice lasts, and
// needs no network; until a reader makes one, the club that hands the book out says what comes first.
(() => {
  "use strict";
  const KEY = "reckoner-units";
  const CHOICES = [["both", "Both units"], ["metric", "Metric"], ["us", "US"]];
  const root = document.documentElement;

  const read = () => {
    try {
      return localStorage.getItem(KEY);
    } catch {
      return null; // A browser may forbid it; the switch then lasts for this page.
    }
  };
  const apply = (choice) => {
    if (choice === "metric" || choice === "us") {
      root.dataset.units = choice;
    } else {
      delete root.dataset.units;
    }
  };
  apply(read() ?? root.dataset.unitsFirst);

  const buttons = document.querySelector("#mdbook-menu-bar .right-buttons, #menu-bar .right-buttons, .sheet-bar .choices");
  if (!buttons) return;
  const label = document.createElement("label");
  label.className = "units-switch";
  const words = document.createElement("span");
  words.textContent = "Units";
  const select = document.createElement("select");
  for (const [value, text] of CHOICES) {
    select.add(new Option(text, value));
  }
  select.value = root.dataset.units ?? "both";
  select.addEventListener("change", () => {
    apply(select.value);
    try {
      localStorage.setItem(KEY, select.value);
    } catch {
      // See above.
    }
  });
  label.append(words, select);
  buttons.prepend(label);
})();

// A reader's own tank: what reckons it is loaded only where there is one, where one is typed in, and for whoever asks why a figure is what
// it is. The page of the whole book is no place to type.
(() => {
  "use strict";
  const home = new URL("..", document.currentScript.src);
  let loading;
  const load = (name) => new Promise((resolve, reject) => {
    const script = document.createElement("script");
    Object.assign(script, { src: new URL(name, home).href, onload: resolve, onerror: reject });
    document.head.append(script);
  });
  const start = () => (loading ??= load("live.js"));
  const KEY = `reckoner-tanks ${home.pathname}`;
  const kept = () => {
    try {
      return localStorage.getItem(KEY);
    } catch {
      return null; // See above.
    }
  };
  const uncover = () => { delete document.documentElement.dataset.tankAwaited; };
  const isForm = document.querySelector("#tank-form") && !location.pathname.endsWith("/print.html");
  const brings = () => location.hash.startsWith("#tank=");
  if (kept() || isForm || brings()) start().catch(uncover);
  if (kept() && !kept().endsWith('"current":null}')) {
    // The figures of another tank are not shown for the blink of an eye, nor printed: the page of the whole book prints itself.
    document.documentElement.dataset.tankAwaited = "";
    setTimeout(uncover, 5000);
    const print = window.print.bind(window);
    window.print = () => { start().then(() => window.reckonerFollowed).finally(print); };
  }
  // A tank that was typed in another tab, or while this page was put aside; a link that leads to this page.
  addEventListener("storage", ({ key }) => { if (key === KEY) start(); });
  addEventListener("pageshow", ({ persisted }) => { if (persisted && kept()) start(); });
  addEventListener("hashchange", () => { if (brings()) start(); });
  if (isForm) load("your-tank.js");

  // A figure is a link to its line in the ledger, or stands in a table; where nothing can be reckoned the link is followed.
  const asked = (event) => {
    const figure = event.target.closest?.("a.to-ledger data.figure, a.to-ledger, main data.figure");
    const id = (figure?.dataset.figure ? figure : figure?.querySelector("[data-figure]"))?.dataset.figure;
    if (!id || event.button > 0 || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
    const link = figure.closest("a");
    if (link && !link.classList.contains("to-ledger")) return;
    event.preventDefault();
    start().then(() => window.reckonerWhy(id, link ?? figure)).catch(() => { if (link) location.href = link.href; });
  };
  document.addEventListener("click", asked);
  // With the keyboard a table is one stop; Enter asks about all its figures.
  document.addEventListener("keydown", (event) => {
    const region = event.target;
    if (event.key !== "Enter" || !region.matches?.(".table-wrapper") || !region.querySelector("[data-figure]")) return;
    event.preventDefault();
    start().then(() => window.reckonerWhyOf(region)).catch(() => {});
  });
})();
