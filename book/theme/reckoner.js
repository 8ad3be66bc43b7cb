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
})();

// A switch for the units of the whole book: both, metric only, or US only. Both are shown where no script runs. The choice lasts, and
// needs no network.
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
  apply(read());

  const buttons = document.querySelector("#mdbook-menu-bar .right-buttons, #menu-bar .right-buttons");
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

// The page with the form of a reader's tank has a script of its own; no other page loads it.
(() => {
  "use strict";
  if (!document.querySelector("#tank-form")) return;
  const script = document.createElement("script");
  script.src = new URL("../your-tank.js", document.currentScript.src).href;
  document.head.append(script);
})();
