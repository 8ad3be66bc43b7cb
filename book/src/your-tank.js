// The form of the page "Your tank". The text of the tank file is the one truth: each field shows a value of it, and what is typed goes back
// into it. What it needs is one object, `window.reckoner`; whoever makes it fires the event "reckoner-ready" at the document:
//
//   text()                   the tank file that is worked at, "" where there is none
//   values(text)             its values by their paths: [["glass.length", "90 cm"], ["fish[0]", ""], ...]; none where it can not be read
//   with(text, path, value)  the file with one value changed, or removed where it is ""; throws an Error where that can not be
//   reckon(text)             takes the file for that of the reader, and reckons the page with it where nothing is wrong
//                            -> what is wrong: [{ key: "glass.length", line: 3, message: "...", help: ["..."] }, ...]
//   shape(text)              a drawing of the tank's shape as an element, null where it has none yet
(() => {
  "use strict";
  const root = document.querySelector("#tank-form");
  // The print page holds every chapter, and is no place to type.
  if (!root || location.pathname.endsWith("/print.html")) return;
  const START = 'name = "My Tank"\n\n[glass]\nshape = "box"\n\n[livestock]\n';
  const PAUSE = 200; // milliseconds between the last key and reckoning

  const all = (selector, from = root) => [...from.querySelectorAll(selector)];
  const one = (selector, from = root) => from.querySelector(selector);
  const state = one("#tank-state");
  const file = one("#tank-file");
  const tabs = all("[role=tab]");
  const touched = new Set(); // paths that the reader has left: what is missing there is told
  const hidden = new Map(); // what was typed for another shape, in case it comes back
  let reckoner;
  let text = "";
  const shown = new Map(); // what the fields show of the file, by their paths
  let waiting;
  let work = null; // what waits

  // A field is all that carries a path, but for those of the patterns of lists.
  const fields = () => all("[data-path]").filter((field) => !field.closest("[data-pattern]"));
  const boxes = (field) => all("input[type=checkbox]", field);
  const control = (field) => one("input, select", field);
  const name = (field) => one("label, legend", field).textContent;
  const isList = (field) => field.localName === "fieldset";

  function read(field) {
    if (isList(field)) return boxes(field).filter((box) => box.checked).map((box) => box.value).join(", ");
    const { type, checked, value } = control(field);
    return type === "checkbox" ? (checked ? "true" : "") : value.trim();
  }

  function write(field, value) {
    if (isList(field)) {
      const words = value.split(",").map((word) => word.trim());
      boxes(field).forEach((box) => { box.checked = words.includes(box.value); });
      return;
    }
    const input = control(field);
    if (input.type === "checkbox") {
      input.checked = value === "true";
      return;
    }
    // A word that the file holds and the list does not: the problem beside it says so.
    if (input.localName === "select" && ![...input.options].some((option) => option.value === value)) input.add(new Option(value, value));
    if (input.value.trim() !== value) input.value = value;
  }

  // One table of a list, made from its pattern.
  function table(list, at) {
    const made = one(`[data-pattern="${list}"]`).firstElementChild.cloneNode(true);
    for (const field of all("[data-path]", made)) field.dataset.path = field.dataset.path.replace("[]", `[${at}]`);
    for (const attribute of ["id", "for", "aria-describedby"]) {
      for (const element of all(`[${attribute}]`, made)) {
        element.setAttribute(attribute, element.getAttribute(attribute).split(" ").map((id) => `${id}-${at}`).join(" "));
      }
    }
    const remove = one("[data-remove]", made);
    remove.dataset.remove = `${list}[${at}]`;
    return made;
  }

  // Puts the values of the file into the fields.
  function show() {
    const values = new Map(reckoner.values(text));
    const isBroken = values.size === 0 && text.trim() !== "";
    for (const list of all("[data-list]")) {
      const path = list.dataset.list;
      const count = [...values.keys()].filter((known) => known.startsWith(`${path}[`) && known.endsWith("]")).length;
      const tables = one(".tables", list);
      while (tables.children.length > count) tables.lastElementChild.remove();
      while (tables.children.length < count) tables.append(table(path, tables.children.length));
      [...tables.children].forEach((made, at) => {
        const called = values.get(`${path}[${at}].name`) || (path !== "pump" && values.get(`${path}[${at}].model`)) || `${at + 1}`;
        one("legend", made).textContent = called;
        one("[data-remove]", made).textContent = `Remove ${called}`;
      });
    }
    // The reader's own models are on offer as well.
    const models = [...values].filter(([path]) => /^model\[\d+\]\.model$/.test(path)).map(([, model]) => model);
    for (const select of all("[data-models]")) {
      for (const model of models.filter((model) => ![...select.options].some((option) => option.value === model))) select.add(new Option(model, model));
    }
    const offer = one("#tank-add-pump");
    all("option.own", offer).forEach((option) => option.remove());
    for (const model of models) {
      const option = new Option(model);
      option.className = "own";
      option.dataset.key = "model";
      offer.add(option);
    }
    for (const field of fields()) {
      const { path, when, of } = field.dataset;
      write(field, values.get(path) ?? "");
      shown.set(path, read(field));
      if (when) field.hidden = !of.split(" ").includes(values.get(inSameTable(path, when)) ?? "");
      const group = field.closest("details");
      if (group && values.has(path) && !group.dataset.seen) {
        group.open = true;
        group.dataset.seen = "true";
      }
    }
    for (const input of all("input, select, [data-add], [data-remove]", one("form"))) input.disabled = isBroken;
    if (document.activeElement !== file) file.value = text;
    judge(isBroken);
  }

  // The path of a key beside another one: both stand in the same table of a list.
  function inSameTable(path, other) {
    const place = path.match(/\[\d+\]/);
    return place ? other.replace("[]", place[0]) : other;
  }

  function link(field) {
    const link = document.createElement("a");
    const target = control(field);
    link.href = `#${target.id || field.id}`;
    link.textContent = name(field);
    link.addEventListener("click", (event) => {
      event.preventDefault();
      const group = field.closest("details");
      if (group) group.open = true;
      target.focus();
    });
    return link;
  }

  // The field that a problem is about: its own, or that of a table around it.
  function fieldOf(key) {
    const known = new Map(fields().map((field) => [field.dataset.path, field]));
    for (let path = key; path; path = path.replace(/(\.[^.[\]]*|\[\d+\]|^[^.[\]]*)$/, "")) {
      if (known.has(path)) return known.get(path);
    }
    return undefined;
  }

  // Reckons, and puts what is wrong to its fields.
  function judge(isBroken) {
    const problems = reckoner.reckon(text);
    const missing = [];
    const elsewhere = [];
    const told = new Map();
    for (const problem of problems) {
      const field = isBroken ? undefined : fieldOf(problem.key);
      const words = [problem.message, ...problem.help].join("; ");
      if (!field) {
        elsewhere.push(words);
      } else if (read(field) === "" && !touched.has(field.dataset.path)) {
        if (!missing.includes(field)) missing.push(field);
      } else {
        told.set(field, [...(told.get(field) ?? []), words]);
      }
    }
    for (const field of fields()) {
      const words = told.get(field);
      const line = all(".problem", field).pop();
      if (line.textContent !== (words ?? []).join(" ")) line.textContent = (words ?? []).join(" ");
      const marked = isList(field) ? boxes(field) : [control(field)];
      marked.forEach((input) => (words ? input.setAttribute("aria-invalid", "true") : input.removeAttribute("aria-invalid")));
      field.classList.toggle("wrong", Boolean(words));
      if (words && field.closest("details")) field.closest("details").open = true;
    }
    one("#tank-file-problems").replaceChildren(...problems.map((problem) => {
      const item = document.createElement("li");
      item.textContent = `line ${problem.line}: ${[problem.message, ...problem.help].join("; ")}`;
      return item;
    }));
    one("#tank-shape").replaceChildren(...[reckoner.shape(text)].filter(Boolean));
    tell(isBroken, missing, [...told.keys()], elsewhere);
  }

  // Says in a sentence how things stand.
  function tell(isBroken, missing, wrong, elsewhere) {
    const said = [];
    const list = (words, found) => {
      said.push(said.length ? " " : "", words);
      found.forEach((field, at) => said.push(at ? ", " : "", link(field)));
      said.push(".");
    };
    if (isBroken) said.push("The file can not be read, so the form can not show it. Mend it under \"As a file\". ");
    if (missing.length) list("Still to be filled in: ", missing);
    if (wrong.length) list("Look again at: ", wrong);
    elsewhere.forEach((words) => said.push(said.length ? " " : "", words, "."));
    if (!said.length) said.push("All of it can be reckoned. The figures of this book are now those of your tank.");
    const before = state.textContent;
    const made = document.createElement("span");
    made.append(...said);
    if (made.textContent !== before) state.replaceChildren(made);
  }

  // Takes one value into the file; where that can not be, the field says why.
  function put(path, value) {
    try {
      text = reckoner.with(text, path, value);
      return true;
    } catch (error) {
      const field = fieldOf(path);
      if (field) all(".problem", field).pop().textContent = error.message;
      return false;
    }
  }

  function take(field) {
    const { path } = field.dataset;
    // Its table may be gone by now. What was not changed stays as it is written.
    if (!field.isConnected) return;
    if (read(field) !== shown.get(path) && !put(path, read(field))) return;
    // What belongs to another choice can not stay beside this one; it comes back with it.
    for (const other of fields().filter((other) => other.dataset.when && inSameTable(other.dataset.path, other.dataset.when) === path)) {
      const its = other.dataset.path;
      const belongs = other.dataset.of.split(" ").includes(read(field));
      if (!belongs && read(other) !== "") {
        hidden.set(its, read(other));
        put(its, "");
      } else if (belongs && read(other) === "" && hidden.has(its)) {
        put(its, hidden.get(its));
      }
    }
    show();
  }

  function later(next) {
    clearTimeout(waiting);
    work = next;
    waiting = setTimeout(now, PAUSE);
  }

  function now() {
    clearTimeout(waiting);
    const due = work;
    work = null;
    due?.();
  }

  function drop() {
    clearTimeout(waiting);
    work = null;
  }

  function add(path) {
    const choice = one(`#tank-add-${path}`).selectedOptions[0];
    const tables = one(`[data-list="${path}"] .tables`);
    const at = tables.children.length;
    const taken = [...tables.children].map((made) => one("legend", made).textContent);
    const free = (names) => names.find((name) => !taken.includes(name)) ?? `${path} ${at + 1}`;
    // A pump has a name of its own, and so has a model; the first two pumps hang at the two ends.
    const begun = { pump: { name: free(["left", "right"]) }, model: { model: free(["My pump"]) } }[path];
    const { key, count, mass } = choice.dataset;
    const values = { ...begun, [key]: choice.value, ...(count && { count }), ...(mass && { mass }) };
    if (path === "pump" && at < 2 && ["left", "right"].includes(values.name)) values.wall = values.name;
    Object.entries(values).every(([key, value]) => put(`${path}[${at}].${key}`, value));
    show();
    const made = tables.children[at];
    if (made) one("input", made).focus();
  }

  function choose(tab, hasFocus) {
    for (const other of tabs) {
      const isChosen = other === tab;
      other.setAttribute("aria-selected", String(isChosen));
      other.tabIndex = isChosen ? 0 : -1;
      one(`#${other.getAttribute("aria-controls")}`).hidden = !isChosen;
    }
    if (hasFocus) tab.focus();
    show();
  }

  function begin() {
    reckoner = window.reckoner;
    text = reckoner.text() || START;
    const form = one("form");
    form.addEventListener("submit", (event) => event.preventDefault());
    form.addEventListener("input", ({ target }) => {
      const field = target.closest("[data-path]");
      if (field) later(() => take(field));
    });
    form.addEventListener("change", ({ target }) => {
      const field = target.closest("[data-path]");
      if (!field) return;
      drop();
      touched.add(field.dataset.path);
      take(field);
    });
    // Who begins to type a name means it in the place of the one that stands there to begin with.
    form.addEventListener("focusin", ({ target }) => {
      if (target.closest("[data-path]")?.dataset.path === "name" && START.includes(JSON.stringify(target.value))) target.select();
    });
    form.addEventListener("focusout", ({ target }) => {
      const field = target.closest("[data-path]");
      if (!field || touched.has(field.dataset.path)) return;
      touched.add(field.dataset.path);
      // A click that leaves the field must find its target where it was.
      later(() => take(field));
    });
    form.addEventListener("click", ({ target }) => {
      if (target.dataset.add) add(target.dataset.add);
      if (target.dataset.remove && put(target.dataset.remove, "")) {
        touched.clear();
        const list = target.closest("[data-list]");
        show();
        one(".add select", list).focus();
      }
    });
    file.addEventListener("input", () => later(() => {
      text = file.value;
      show();
    }));
    // Whoever leaves the text or the page does not wait.
    file.addEventListener("change", now);
    window.addEventListener("pagehide", now);
    tabs.forEach((tab, at) => {
      tab.addEventListener("click", () => choose(tab, false));
      tab.addEventListener("keydown", ({ key }) => {
        const step = { ArrowLeft: -1, ArrowRight: 1 }[key];
        if (step) choose(tabs[(at + step + tabs.length) % tabs.length], true);
      });
    });
    document.addEventListener("reckoner-tank", () => {
      drop();
      text = reckoner.text() || START;
      file.value = text;
      touched.clear();
      hidden.clear();
      show();
    });
    document.querySelectorAll(".needs-script").forEach((note) => { note.hidden = true; });
    root.hidden = false;
    show();
  }

  if (window.reckoner) begin();
  else document.addEventListener("reckoner-ready", begin, { once: true });
})();
