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
