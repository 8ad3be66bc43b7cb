// A sheet for paper on the screen: its paper, its date, the button that prints it, and the tank in its code. The switch of units is the book's own, and the
// reader's tank comes from live.js.
(() => {
  "use strict";
  const one = (selector) => document.querySelector(selector);
  const choices = one(".sheet-bar .choices");
  const margins = one("#margins");
  if (!choices || !margins) return;
  const KEY = "reckoner-paper";
  const PAPERS = [["a4", "A4"], ["letter", "Letter"]];
  const ofBook = margins.textContent; // how large the sides are, and what stands in their margins
  const edition = one(".edition").textContent;
  const code = one("svg.code");

  const read = () => {
    try {
      return localStorage.getItem(KEY);
    } catch {
      return null; // A browser may forbid it; the choice then lasts for this page.
    }
  };
  let paper = PAPERS.find(([value]) => value === read())?.[0] ?? /size: (\w+)/.exec(ofBook)[1];
  let ofTank = edition; // the edition with the letters of the tank that the sheet is about
  const date = document.createElement("input");
  date.type = "date";

  function lay() {
    const day = date.value && new Date(`${date.value}T12:00`).toLocaleDateString("en-GB", { day: "numeric", month: "long", year: "numeric" });
    margins.textContent = ofBook.replace(/size: \w+/, `size: ${paper}`).replaceAll(edition, day ? `${ofTank} · ${day}` : ofTank);
    one(".edition").textContent = ofTank;
    one(".imprint .day").textContent = day ? `, ${day}` : "";
  }
  date.addEventListener("input", lay);

  function labelled(words, control) {
    const label = document.createElement("label");
    label.append(words, " ", control);
    return label;
  }

  const select = document.createElement("select");
  for (const [value, text] of PAPERS) select.add(new Option(text, value));
  select.value = paper;
  select.addEventListener("change", () => {
    paper = select.value;
    lay();
    try {
      localStorage.setItem(KEY, paper);
    } catch {
      // See above.
    }
  });

  const box = document.createElement("input");
  box.type = "checkbox";
  const shares = labelled(box, "The code carries this tank");
  shares.hidden = true;
  let tank = null; // { text, code }: the reader's own, and what draws a code for it
  let drawn = code; // the code that stands there
  const withTank = one(".with-tank");

  async function draw() {
    if (!code) return;
    const { text, code: of } = tank ?? {};
    const made = text && box.checked ? await of(text, one(".imprint .address").textContent) : null;
    if (tank?.text !== text) return;
    if (box.checked && text && !made) {
      box.checked = false;
      box.disabled = true;
      shares.append(": its file is too long for one that a phone can read");
    }
    drawn.replaceWith(made ?? code);
    drawn = made ?? code;
    withTank.hidden = !made;
  }
  box.addEventListener("change", draw);

  // What live.js says: the sheet is about a reader's own tank, or about that of the book again.
  document.addEventListener("reckoner-shows", async ({ detail }) => {
    tank = detail;
    shares.hidden = !tank || !code;
    const [ofRules] = edition.split("-");
    // Browsers reckon it on safe sites only.
    const sum = tank && crypto.subtle ? new Uint8Array(await crypto.subtle.digest("SHA-256", new TextEncoder().encode(tank.text))) : null;
    if (tank !== detail) return;
    ofTank = !tank ? edition : sum ? `${ofRules}-${[...sum.subarray(0, 2)].map((byte) => byte.toString(16).padStart(2, "0")).join("")}` : ofRules;
    lay();
    draw();
  });

  const print = document.createElement("button");
  Object.assign(print, { type: "button", textContent: "Print", onclick: () => window.print() });
  choices.append(labelled("Paper", select), labelled("Date on it", date), shares, print);
  lay();
})();
