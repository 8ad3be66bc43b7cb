// The reader's own tank on every page, and why a figure is what it is. No page loads this without such a tank, the form to type one in, or
// somebody who asks why. Everything is reckoned here: nothing of a tank leaves the browser.
//
// The engine is WebAssembly; `reckoner-engine.js` brings it with the rules and pumps of this copy of the book. What a question and its
// answer look like stands in preprocessor/live/src/desk.rs.
(() => {
  "use strict";
  performance.mark("reckoner-begun");
  const home = new URL(".", document.currentScript.src);
  const one = (selector, from = document) => from.querySelector(selector);
  const all = (selector, from = document) => [...from.querySelectorAll(selector)];
  const isPrintPage = location.pathname.endsWith("/print.html"); // the page of the whole book

  // An element with words and children in it: texts stay texts.
  function made(name, attributes = {}, ...inside) {
    const element = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) {
      if (key.startsWith("on")) element.addEventListener(key.slice(2), value);
      else if (value === true) element.setAttribute(key, "");
      else if (value !== false && value !== undefined) element.setAttribute(key, value);
    }
    element.append(...inside);
    return element;
  }

  // The inside of a `<template>` with HTML from the engine, which writes each text of a reader as a text.
  function parsed(html) {
    const template = document.createElement("template");
    template.innerHTML = html;
    if (document.documentElement.dataset.numbers === "comma") withCommas(template.content);
    return template.content;
  }

  // As preprocessor/src/site/numbers.rs writes the figures of a page for a club that asks for the decimal comma.
  const FIGURES = "data, svg, .metric, .us, .reckoned, .working";
  const NO_FIGURES = "code, pre, script, style, textarea, .number";
  function withCommas(content) {
    const walker = document.createTreeWalker(content, NodeFilter.SHOW_TEXT);
    while (walker.nextNode()) {
      const text = walker.currentNode;
      if (!text.parentElement?.closest(FIGURES) || text.parentElement.closest(NO_FIGURES)) continue;
      text.data = text.data.replace(/(?<![\p{L}\d])\d[\d.,]*/gu, (run) => {
        const number = run.replace(/[.,]+$/, "");
        if (!/^(?:\d+|\d{1,3}(?:,\d{3})+)(?:\.\d+)?$/.test(number)) return run;
        return number.replace(/[.,]/g, (sign) => (sign === "." ? "," : "\u202f")) + run.slice(number.length);
      });
    }
  }

  // ---------------------------------------------------------------- Tanks that are kept

  // In Chromium all pages from folders share one store, so the site's own place stands in the key.
  const KEY = `reckoner-tanks ${home.pathname}`;
  const IN_LINK = "#tank=";

  const tanks = {
    kept: [], // { id, name, text }
    current: null, // the id of the one that is shown, or null for the book's own
    lasts: true, // whether the browser lets us keep anything

    load() {
      try {
        const { kept, current } = JSON.parse(localStorage.getItem(KEY) ?? "{}");
        const isTank = (tank) => ["id", "name", "text"].every((key) => typeof tank?.[key] === "string");
        tanks.kept = Array.isArray(kept) ? kept.filter(isTank) : [];
        tanks.current = tanks.kept.some(({ id }) => id === current) ? current : null;
      } catch (error) {
        tanks.lasts = !(error instanceof DOMException);
      }
    },
    save() {
      try {
        if (tanks.kept.length) localStorage.setItem(KEY, JSON.stringify({ kept: tanks.kept, current: tanks.current }));
        else localStorage.removeItem(KEY);
        tanks.lasts = true;
      } catch {
        tanks.lasts = false;
      }
    },
    shown: () => tanks.kept.find(({ id }) => id === tanks.current),
    add(name, text) {
      const number = Math.max(0, ...tanks.kept.map(({ id }) => Number(id) || 0)) + 1;
      tanks.kept.push({ id: String(number), name, text });
      tanks.current = String(number);
      tanks.save();
    },
    change(name, text) {
      Object.assign(tanks.shown(), { name, text });
      tanks.save();
    },
    remove(id) {
      tanks.kept = tanks.kept.filter((tank) => tank.id !== id);
      if (tanks.current === id) tanks.current = tanks.kept[0]?.id ?? null;
      tanks.save();
    },
    show(id) {
      tanks.current = id;
      tanks.save();
    },
  };

  // ---------------------------------------------------------------- The engine

  // What is asked and answered: texts, each behind its length in four bytes.
  function packed(texts) {
    const parts = texts.map((text) => new TextEncoder().encode(text));
    const bytes = new Uint8Array(parts.reduce((sum, part) => sum + 4 + part.length, 0));
    const view = new DataView(bytes.buffer);
    let at = 0;
    for (const part of parts) {
      view.setUint32(at, part.length, true);
      bytes.set(part, at + 4);
      at += 4 + part.length;
    }
    return bytes;
  }

  function unpacked(bytes) {
    const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    const decoder = new TextDecoder();
    const texts = [];
    for (let at = 0; at < bytes.length;) {
      const length = view.getUint32(at, true);
      texts.push(decoder.decode(bytes.subarray(at + 4, at + 4 + length)));
      at += 4 + length;
    }
    return texts;
  }

  // What is wrong, as the engine tells it: six texts each.
  class Faults extends Error {
    constructor(texts) {
      super(texts[4]);
      this.list = [];
      for (let at = 0; at < texts.length; at += 6) {
        const [document, key, line, column, message, help] = texts.slice(at, at + 6);
        this.list.push({ document, key, line: Number(line), column: Number(column), message, help: help.split("\n").filter(Boolean) });
      }
    }
  }

  function loaded(name) {
    return new Promise((resolve, reject) => {
      const script = made("script", { src: new URL(name, home).href, onload: resolve, onerror: () => reject(new Error(`${name} is not there`)) });
      document.head.append(script);
    });
  }

  class Engine {
    static #engine;

    // The engine with the rules and the pumps of this copy of the book; made once.
    static started() {
      Engine.#engine ??= Engine.#start().catch((error) => {
        Engine.#engine = undefined; // who asks again tries again
        throw error;
      });
      return Engine.#engine;
    }

    static async #start() {
      await loaded("reckoner-engine.js");
      const { wasm, open, tank, checks } = window.reckonerEngine;
      const letters = atob(wasm);
      const bytes = new Uint8Array(letters.length);
      for (let at = 0; at < letters.length; at += 1) bytes[at] = letters.charCodeAt(at);
      const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
      const { module, instance } = await WebAssembly.instantiate(await new Response(stream).arrayBuffer());
      const engine = new Engine(module, packed(["open", ...open]));
      engine.ofBook = tank;
      engine.checks = checks;
      engine.open(instance);
      return engine;
    }

    constructor(module, opening) {
      this.module = module;
      this.opening = opening;
      this.exports = null;
      this.at = null; // the text of the tank that was reckoned last
    }

    open(instance) {
      this.exports = instance.exports;
      this.at = null;
      this.answer(this.opening);
    }

    ask(...texts) {
      return this.answer(packed(texts));
    }

    answer(question) {
      if (!this.exports) this.open(new WebAssembly.Instance(this.module));
      try {
        return this.told(question);
      } catch (error) {
        // What broke off keeps its memory borrowed for ever: the next question goes to a fresh instance.
        if (!(error instanceof Faults)) this.exports = null;
        throw error;
      }
    }

    told(question) {
      const { alloc, free, ask, answer_length: answerLength, memory } = this.exports;
      const room = alloc(question.length);
      new Uint8Array(memory.buffer, room, question.length).set(question);
      const start = ask(room, question.length);
      const [sign, ...texts] = unpacked(new Uint8Array(memory.buffer, start, answerLength()));
      free(room, question.length);
      if (sign === "+") return texts;
      throw new Faults(texts);
    }

    // Reckons a tank; gives its name.
    reckon(text) {
      if (this.at?.text !== text) {
        this.at = null;
        const [name] = this.ask("reckon", text);
        this.at = { text, name };
      }
      return this.at.name;
    }
  }

  // ---------------------------------------------------------------- The places of a page

  const OPENS = "reckoner ";
  const CLOSES = "/reckoner";
  const BEGINS = `${OPENS}{=`; // a chapter

  // The places of this page that depend on the tank: each between two comments, the first of which says what stands there. What is set of a
  // chapter hangs on no other one; the page of the whole book has them all.
  const page = {
    chapters: null, // { question, places: [{ opens, closes, ofBook: [nodes], set: what the engine put there, or null }] }
    behind: [], // what brings up to date what an edit has not reached yet, a step each

    find() {
      if (page.chapters) return;
      const chapters = [];
      const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_COMMENT);
      let opens = null;
      while (walker.nextNode()) {
        const comment = walker.currentNode;
        if (comment.data.startsWith(OPENS)) opens = comment;
        else if (opens && comment.data === CLOSES) {
          if (opens.parentNode !== comment.parentNode) throw new Error("a place of this page is torn");
          if (opens.data.startsWith(BEGINS) || !chapters.length) chapters.push({ places: [] });
          chapters.at(-1).places.push({ opens, closes: comment, ofBook: null, set: null });
          opens = null;
        }
      }
      const form = ({ opens }) => opens.data.slice(OPENS.length);
      for (const chapter of chapters) chapter.question = packed(["set", ...chapter.places.map(form)]);
      page.chapters = chapters;
    },

    // Sets the page for a tank. Where one was set before, what is in sight goes first, and the rest follows before anybody gets there.
    set(engine, text) {
      engine.reckon(text);
      page.find();
      const isEdit = !document.hidden && page.chapters.some(({ places }) => places.some(({ set }) => set !== null));
      const first = isEdit ? page.begunInSight() : page.chapters;
      const due = first.flatMap((chapter) => page.due(engine, chapter));
      const now = isEdit ? due.filter(({ place }) => inSight(place)) : due;
      now.forEach(put);
      page.behind = page.chapters.filter((chapter) => !first.includes(chapter)).map((chapter) => () => {
        engine.reckon(text);
        page.due(engine, chapter).forEach(put);
      });
      if (now.length < due.length) page.behind.unshift(() => due.filter((one) => !now.includes(one)).forEach(put));
      page.later();
    },

    later() {
      clearTimeout(page.waiting);
      if (page.behind.length) page.waiting = setTimeout(page.some);
    },

    // As much as keeps no key of the reader waiting.
    some() {
      const until = performance.now() + 30;
      while (page.behind.length && performance.now() < until) page.behind.shift()();
      page.later();
      if (!page.behind.length) pumps.offer(pumps.engine, pumps.text);
    },

    // Before the page is printed, at once.
    finish() {
      while (page.behind.length) page.behind.shift()();
    },

    // The chapter at the top of the window, and those that begin further down in it.
    begunInSight() {
      const begun = page.chapters.filter(({ places }) => edges(places[0]).top < innerHeight);
      const above = begun.filter(({ places }) => edges(places[0]).top <= 0).length;
      return begun.slice(Math.max(0, above - 1));
    },

    // What has changed in a chapter.
    due(engine, { question, places }) {
      const answers = engine.answer(question);
      return places.map((place, at) => ({ place, html: answers[at] })).filter(({ place, html }) => place.set !== html);
    },

    // Puts back what the book says.
    reset() {
      page.behind = [];
      for (const place of (page.chapters ?? []).flatMap(({ places }) => places)) {
        if (place.set === null) continue;
        replace(place, place.ofBook.map((node) => node.cloneNode(true)));
        place.set = null;
      }
    },
  };
  addEventListener("beforeprint", page.finish);

  const edges = ({ opens }) => (opens.nextElementSibling ?? opens.parentElement).getBoundingClientRect();

  function inSight(place) {
    const { top, bottom } = edges(place);
    return top < innerHeight && bottom > 0;
  }

  function put({ place, html }) {
    place.ofBook ??= between(place).map((node) => node.cloneNode(true));
    replace(place, [...parsed(html).childNodes]);
    place.set = html;
  }

  function between({ opens, closes }) {
    const nodes = [];
    for (let node = opens.nextSibling; node && node !== closes; node = node.nextSibling) nodes.push(node);
    return nodes;
  }

  // Changes as little as can be, so that what is open stays open, what has the focus keeps it, and little is laid out anew.
  function replace(place, wanted) {
    exchange(between(place), wanted, place.closes.parentNode, place.closes);
  }

  function exchange(there, wanted, parent, before) {
    if (there.length === wanted.length) {
      there.forEach((node, at) => adapt(node, wanted[at]));
    } else {
      there.forEach((node) => node.remove());
      wanted.forEach((node) => parent.insertBefore(node, before));
    }
  }

  function adapt(node, wanted) {
    if (node.isEqualNode(wanted)) return;
    const isText = node.nodeType === Node.TEXT_NODE && wanted.nodeType === Node.TEXT_NODE;
    const isSame = node.nodeType === Node.ELEMENT_NODE && node.nodeName === wanted.nodeName && node.namespaceURI === wanted.namespaceURI;
    if (isText) {
      node.data = wanted.data;
    } else if (isSame) {
      const keeps = (name) => node.nodeName === "DETAILS" && name === "open";
      for (const { name } of [...node.attributes]) if (!wanted.hasAttribute(name) && !keeps(name)) node.removeAttribute(name);
      for (const { name, value } of wanted.attributes) if (node.getAttribute(name) !== value) node.setAttribute(name, value);
      exchange([...node.childNodes], [...wanted.childNodes], node, null);
    } else {
      node.replaceWith(wanted);
    }
  }

  // ---------------------------------------------------------------- The bar

  const root = document.documentElement;
  const main = one("main");
  const isFormPage = Boolean(one("#tank-form")) && !isPrintPage;
  let offered = null; // { name, text, isShown }: a tank from a link, until somebody says what becomes of it
  let notice = ""; // what there is to say of a link, until somebody chooses a tank

  const link = (words, page) => made("a", { href: new URL(page, home).href }, words);
  const button = (words, work) => made("button", { type: "button", onclick: work }, words);

  // The bar stays as it is and only its words change: what has the focus keeps it, and what is said is read out.
  const OFFERED = "offered";
  const choice = made("select", { id: "tank-choice", onchange: () => choice.value !== OFFERED && show(choice.value || null) });
  const change = link("", "your-tank.html");
  const ways = made("span", { class: "ways" }, made("label", { for: "tank-choice" }, "Reckoned for"), " ", choice, " ", ...(isFormPage ? [] : [change]));
  const status = made("span", { role: "status" });
  const rest = made("span", { class: "ways" });
  const bar = made("div", { class: "tank-bar", role: "region", "aria-label": "Whose tank" }, ways, " ", status, " ", rest);

  // Says whose tank the page is about, and offers the others.
  function tell(words, ...more) {
    const isOffered = Boolean(offered?.isShown);
    choice.replaceChildren(new Option("the tank of the book", ""), ...tanks.kept.map(({ id, name }) => new Option(name, id)),
      ...(isOffered ? [new Option(`${offered.name}, from a link`, OFFERED)] : []));
    choice.value = isOffered ? OFFERED : tanks.current ?? "";
    change.textContent = tanks.current ? "Change" : "Your tank";
    ways.hidden = !tanks.kept.length && !isOffered;
    if (!tanks.lasts) more.push(made("span", { class: "remark" }, "This browser keeps nothing: the tank lasts as long as you follow the links of the book."));
    const said = [notice, words].filter(Boolean).join(" ");
    if (status.textContent !== said) status.textContent = said;
    rest.replaceChildren(...more);
    if (!bar.isConnected && main) main.prepend(bar);
    bar.hidden = ways.hidden && !said && !more.length;
  }

  // Search finds words of the book as it was built.
  function tellSearch() {
    const results = one("#mdbook-searchresults-outer");
    if (!results) return;
    const note = one(".search-note", results) ?? made("p", { class: "search-note" }, "The search shows the figures of the tank of the book.");
    if (tanks.current) results.prepend(note);
    else note.remove();
  }

  // Shows a tank that is kept, or that of the book, on this page.
  function show(id) {
    tanks.show(id);
    return turned();
  }

  // Somebody chose a tank: form and page turn to it.
  function turned() {
    offered = null;
    notice = "";
    document.dispatchEvent(new Event("reckoner-tank"));
    return follow();
  }

  // Makes the page follow the tank that is to be shown.
  async function follow() {
    if (offered) return;
    const tank = tanks.shown();
    panel.hidden = true; // it is about the tank before
    tellSearch();
    carry();
    if (!tank) {
      page.reset();
      pumps.offer(null, "");
      uncover(null);
      tell("");
      return;
    }
    try {
      const engine = await Engine.started();
      if (tanks.shown() !== tank) return;
      page.set(engine, tank.text);
      uncover(engine, tank.text);
      tell("");
      pumps.offer(engine, tank.text);
      performance.mark("reckoner-followed");
    } catch (error) {
      page.reset();
      pumps.offer(null, "");
      uncover(null);
      tell(wrong(error), ...(error instanceof Faults && !isFormPage ? [" ", link("Mend it", "your-tank.html")] : []));
    }
  }

  // Why a page shows the tank of the book although another was asked for.
  function wrong(error) {
    const shows = "These are the figures of the tank of the book.";
    if (error instanceof Faults) return `This tank can not be reckoned yet. ${shows}`;
    if (error instanceof WebAssembly.RuntimeError) return `The reckoning broke off, which is a fault of this book. ${shows}`;
    if (error instanceof WebAssembly.CompileError) return `This browser, or the site that the book stands on, does not allow WebAssembly. ${shows}`;
    return `This copy of the book can reckon no other tank (${error.message}). ${shows}`;
  }

  // Shows the page as it is set: for a reader's tank, or without one for that of the book. A sheet for paper is told, and how to draw a code of
  // the link with the tank; sheet.js listens.
  function uncover(engine, text) {
    delete root.dataset.tankAwaited;
    if (engine) root.dataset.tank = "own";
    else delete root.dataset.tank;
    const code = async (text, address) => {
      const [drawing] = engine.ask("code", `${address}your-tank.html${IN_LINK}${await squeezed(withoutRemarks(text))}`);
      return drawing ? parsed(drawing).firstElementChild : null;
    };
    document.dispatchEvent(new CustomEvent("reckoner-shows", { detail: engine && { text, code } }));
  }

  // ---------------------------------------------------------------- Pumps that are moved on the map

  // On the map from above each pump of the reader's tank slides along its pane. Where it is let go goes into the tank file, and the page is
  // set anew. The handles lie over the map and not in it: what is set anew takes neither them away nor the focus.
  const PAUSE = 300; // milliseconds between the last arrow key and reckoning
  const KEYS = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: 10, PageDown: -10, Home: -100, End: 100 };

  const pumps = {
    handles: [], // { handle, path, name, isEnd, pane, x, y, share, begun }
    held: null, // the one that is being moved
    text: "", // the tank that the page shows, where it is one that can be changed
    help: made("p", {}, "Drag a pump along its pane. With the keyboard, go to it with Tab and press the arrow keys. Your tank file changes with it."),
    said: made("p", { role: "status" }),
    map: () => (isPrintPage ? null : one('main figure[id$="from_above-map"]')),

    // Offers to move the pumps of a tank file; nothing where the page shows none.
    offer(engine, text) {
      const map = pumps.map();
      const flat = map && text ? engine.ask("values", text) : [];
      const values = new Map(flat.flatMap((path, at) => (at % 2 ? [] : [[path, flat[at + 1]]])));
      const paths = [...values.keys()].filter((path) => /^pump\[\d+\]$/.test(path));
      Object.assign(pumps, { engine, text });
      pumps.box.hidden = !paths.length || paths.length !== all("circle.pump", map).length;
      if (pumps.box.hidden) return;
      while (pumps.handles.length > paths.length) pumps.handles.pop().handle.remove();
      while (pumps.handles.length < paths.length) pumps.handles.push(pumps.made());
      paths.forEach((path, at) => {
        const pump = Object.assign(pumps.handles[at], { path, name: values.get(`${path}.name`), isEnd: ["left", "right"].includes(values.get(`${path}.wall`)) });
        pump.handle.setAttribute("aria-label", `${pump.name}, along its pane`);
        pump.handle.setAttribute("aria-orientation", pump.isEnd ? "vertical" : "horizontal");
      });
      let last = map;
      while (last.nextSibling.data !== CLOSES) last = last.nextSibling;
      if (last.nextSibling.nextSibling !== pumps.box) last.nextSibling.after(pumps.box);
      pumps.lay();
    },

    // Lays the handles over the pumps as the map is drawn now.
    lay() {
      const map = pumps.map();
      const marks = map ? all("circle.pump", map) : [];
      if (pumps.box.hidden || marks.length !== pumps.handles.length) return;
      const pane = one(".pane", map).getBoundingClientRect();
      pumps.handles.forEach((pump, at) => {
        if (pump === pumps.held) return;
        const { left, top, width, height } = marks[at].getBoundingClientRect();
        Object.assign(pump, { pane, x: left + width / 2, y: top + height / 2 });
        pumps.put(pump, pumps.share(pump, pump.x, pump.y));
      });
    },

    // How far along its pane a pump is that stands there on the screen, in whole per cents.
    share({ isEnd, pane }, x, y) {
      const share = isEnd ? (pane.bottom - y) / pane.height : (x - pane.left) / pane.width;
      return Math.round(100 * Math.min(1, Math.max(0, share)));
    },

    put(pump, share) {
      const { handle, isEnd, pane } = pump;
      const around = pumps.box.getBoundingClientRect();
      pump.share = share;
      if (isEnd) pump.y = pane.bottom - (pane.height * share) / 100;
      else pump.x = pane.left + (pane.width * share) / 100;
      Object.assign(handle.style, { left: `${pump.x - around.left}px`, top: `${pump.y - around.top}px` });
      handle.setAttribute("aria-valuenow", share);
      handle.setAttribute("aria-valuetext", pumps.place(pump));
    },

    place: ({ share, isEnd }) => `${share} % from the ${isEnd ? "front" : "left"}`,

    made() {
      const pump = {};
      const take = () => {
        if (pumps.held === pump) return;
        if (pumps.held) pumps.drop(); // another that waits
        pumps.lay(); // the page may have been moved since
        pump.begun = pump.share;
        pumps.held = pump;
      };
      const handlers = {
        onpointerdown: (event) => {
          if (event.button > 0) return;
          pump.handle.setPointerCapture(event.pointerId);
          take();
        },
        onpointermove: (event) => {
          if (pumps.held === pump && event.buttons) pumps.put(pump, pumps.share(pump, event.clientX, event.clientY));
        },
        onpointerup: () => pumps.held === pump && pumps.drop(),
        onpointercancel: () => {
          pumps.held = null;
          pumps.lay();
        },
        onkeydown: (event) => {
          const by = KEYS[event.key];
          if (!by || event.ctrlKey || event.metaKey || event.altKey) return;
          event.preventDefault();
          take();
          pumps.put(pump, Math.min(100, Math.max(0, pump.share + by)));
          clearTimeout(pumps.waiting);
          pumps.waiting = setTimeout(pumps.drop, PAUSE);
        },
      };
      pump.handle = made("div", { class: "handle", role: "slider", tabindex: "0", "aria-valuemin": "0", "aria-valuemax": "100", ...handlers });
      pumps.help.before(pump.handle);
      return pump;
    },

    // Takes the place where a pump was let go into the tank file.
    drop() {
      clearTimeout(pumps.waiting);
      const { held: pump, engine, text } = pumps;
      const tank = tanks.shown();
      pumps.held = null;
      if (!pump) return;
      if (pump.share === pump.begun || tank?.text !== text) {
        pumps.lay();
        return;
      }
      try {
        const [changed] = engine.ask("with", text, `${pump.path}.along`, `${pump.share} %`);
        tanks.change(engine.reckon(changed), changed);
        pumps.said.textContent = `In the tank file, ${pump.name} now hangs ${pumps.place(pump)}. The page follows.`;
        follow();
      } catch (error) {
        pumps.said.textContent = `It can not hang there: ${error.message}.`;
        pumps.lay();
      }
    },
  };
  pumps.box = made("div", { class: "pump-handles", role: "group", "aria-label": "Move the pumps", hidden: true }, pumps.help, pumps.said);
  if (main) new ResizeObserver(() => { if (!pumps.held) pumps.lay(); }).observe(main);

  // ---------------------------------------------------------------- Links that carry a tank

  async function squeezed(text) {
    const stream = new Blob([text]).stream().pipeThrough(new CompressionStream("deflate-raw"));
    const bytes = new Uint8Array(await new Response(stream).arrayBuffer());
    return btoa(String.fromCharCode(...bytes)).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
  }

  // A tank file without lines that only remark on others, for a code that must stay small; one with a text of several lines stays whole.
  function withoutRemarks(text) {
    if (/"""|'''/.test(text)) return text;
    return text.split("\n").filter((line) => line.trim() && !line.trim().startsWith("#")).join("\n") + "\n";
  }

  async function unsqueezed(letters) {
    const bytes = Uint8Array.from(atob(letters.replace(/-/g, "+").replace(/_/g, "/")), (letter) => letter.charCodeAt(0));
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
    const reader = stream.getReader();
    const parts = [];
    let length = 0;
    for (;;) {
      const { done, value } = await reader.read();
      if (done) break;
      length += value.length;
      // A longer tank file than this nobody wrote.
      if (length > 65536) throw new Error("too long");
      parts.push(value);
    }
    return new TextDecoder("utf-8", { fatal: true }).decode(await new Blob(parts).arrayBuffer());
  }

  // Where the browser keeps nothing, the links of the book carry the tank along.
  const plain = new WeakMap(); // where the links lead that carry one
  async function carry() {
    if (tanks.lasts) return;
    const tank = tanks.shown();
    const letters = tank && await squeezed(tank.text);
    if (tanks.shown() !== tank) return;
    for (const a of [...document.links]) {
      const address = a.hash.startsWith(IN_LINK) ? plain.get(a) : a.href;
      const url = new URL(address);
      if (!url.href.startsWith(home.href) || !url.pathname.endsWith(".html") || url.pathname === location.pathname) continue;
      plain.set(a, address);
      a.href = letters ? `${url.pathname}${IN_LINK}${letters}` : address;
    }
  }

  // Asks what becomes of a tank that the address carries. Until somebody says so, the page is about the tank that it is about without it.
  async function receive() {
    const letters = location.hash.slice(IN_LINK.length);
    history.replaceState(null, "", location.pathname + location.search);
    let text;
    let name;
    try {
      text = await unsqueezed(letters);
      name = (await Engine.started()).reckon(text);
    } catch (error) {
      offered = null;
      notice = text === undefined ? "The link that brought you here carries a tank that can not be read."
        : error instanceof Faults ? "The link that brought you here carries a tank that can not be reckoned." : wrong(error);
      await follow();
      return;
    }
    // Our own links carry it only where nothing can be kept.
    if (!tanks.lasts && document.referrer.startsWith(home.href)) {
      tanks.add(name, text);
      await turned();
      return;
    }
    offered = null;
    notice = "";
    await follow();
    offered = { name, text, isShown: false };
    const keep = button("Keep it", () => { tanks.add(name, text); turned(); });
    const leave = button("Leave it", () => { offered = null; follow(); });
    const once = button("Look at it", async () => {
      const engine = await Engine.started();
      page.set(engine, text);
      pumps.offer(null, "");
      offered.isShown = true;
      uncover(engine, text);
      tell("This page shows it; other pages do not.", keep, " ", leave);
    });
    tell("", made("p", { class: "offer" }, "The link that brought you here carries a tank, ", made("b", {}, name), ". ", once, " ", keep, " ", leave));
  }

  // ---------------------------------------------------------------- Why?

  const panel = made("div", { id: "why", role: "dialog", "aria-label": "Why this figure", tabindex: "-1", hidden: true });
  const trail = []; // the ids on the way here
  let asker = null;

  async function why(id, from) {
    const engine = await Engine.started();
    if (from) {
      asker = from;
      trail.length = 0;
    }
    // The panel is about the tank on the page.
    engine.reckon(root.dataset.tank ? (offered?.text ?? tanks.shown().text) : engine.ofBook);
    const [html] = engine.ask("why", id);
    trail.push(id);
    const content = parsed(html);
    const formulas = one("[data-formulas]", content)?.dataset.formulas.split(" ").filter(Boolean) ?? [];
    const checks = engine.checks.filter(({ subject }) => subject === id || subject.startsWith(`${id} `) || formulas.some((formula) => subject === formula || subject.startsWith(`${formula} `)));
    const ways = [button("Close", close)];
    if (trail.length > 1) ways.unshift(button("Back", () => { trail.pop(); why(trail.pop()); }), " ");
    open(made("p", { class: "ways" }, ...ways), content, checked(checks), made("p", {}, link("All figures in the ledger", "ledger.html")));
  }

  // All figures of a table, each to be asked about.
  async function whyOf(region) {
    await Engine.started();
    asker = region;
    trail.length = 0;
    const item = (figure) => made("li", {}, made("button", { type: "button", "data-why": figure.dataset.figure }, figure.title || figure.dataset.figure), ": ", figure.cloneNode(true));
    const caption = one("caption", region)?.textContent ?? "";
    open(made("p", { class: "ways" }, button("Close", close)), made("p", { class: "why-title" }, caption),
      made("ul", { class: "why-from" }, ...all("[data-figure]", region).map(item)));
  }

  function open(...content) {
    panel.replaceChildren(...content);
    if (!panel.isConnected) document.body.append(panel);
    panel.hidden = false;
    // A long formula is moved sideways, with the keyboard too.
    for (const formula of all(".formula", panel)) if (formula.scrollWidth > formula.clientWidth) formula.tabIndex = 0;
    panel.scrollTop = 0;
    panel.focus();
  }

  function checked(checks) {
    const some = document.createDocumentFragment();
    if (!checks.length) return some;
    const line = ({ subject, published, by, page: address }) => made("li", {}, `${subject}: ${published} (${by}). `, link("See the check", address));
    some.append(made("p", {}, "Checked against"), made("ul", { class: "why-checks" }, ...checks.slice(0, 6).map(line)));
    return some;
  }

  function close() {
    panel.hidden = true;
    asker?.focus();
  }

  panel.addEventListener("click", ({ target }) => {
    const id = target.closest("[data-why]")?.dataset.why;
    if (id) why(id);
  });
  panel.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    event.stopPropagation();
    close();
  });

  // ---------------------------------------------------------------- The form, and the files of a tank

  // What your-tank.js works with.
  function serve(engine) {
    let begun = null;
    const given = {
      text: () => tanks.shown()?.text ?? "",
      values: (text) => {
        const flat = engine.ask("values", text);
        return flat.flatMap((path, at) => (at % 2 ? [] : [[path, flat[at + 1]]]));
      },
      with: (text, path, value) => engine.ask("with", text, path, value)[0],
      shape: (text) => parsed(engine.ask("shape", text)[0]).firstElementChild,
      reckon: (text) => {
        begun ??= text;
        let name = tanks.shown()?.name ?? "My tank";
        let faults = [];
        try {
          name = engine.reckon(text);
        } catch (error) {
          faults = error instanceof Faults ? error.list : [{ key: "", line: 1, message: wrong(error).replace(/\.$/, ""), help: [] }];
        }
        // What somebody has only begun to type is kept as well.
        const isTyped = tanks.shown() ? tanks.shown().text !== text : text !== begun;
        if (isTyped) {
          offered = null;
          if (tanks.shown()) tanks.change(name, text);
          else tanks.add(name, text);
        }
        follow();
        return faults;
      },
    };
    window.reckoner = given;
    document.addEventListener("reckoner-tank", () => { begun = null; });
    document.dispatchEvent(new Event("reckoner-ready"));
  }

  function download(name, text, type) {
    const a = made("a", { href: URL.createObjectURL(new Blob([text], { type })), download: name });
    a.click();
    setTimeout(() => URL.revokeObjectURL(a.href), 1000);
  }

  // The buttons below the form.
  function keep(engine) {
    const box = one("#tank-keep");
    if (!box) return;
    const said = one("[role=status]", box);
    const file = () => (tanks.shown()?.name ?? "my tank").toLowerCase().replace(/[^a-z0-9]+/g, "_").replace(/^_|_$/g, "") || "my_tank";
    const out = (ask, name, type) => () => {
      try {
        const tank = tanks.shown();
        if (!tank) throw new Error("type a tank into the form first");
        engine.reckon(tank.text);
        download(name(), ask(tank), type);
        said.textContent = `${name()} is among your downloads.`;
      } catch (error) {
        said.textContent = `Not yet: ${error.message}.`;
      }
    };
    const day = one("#tank-from", box);
    const now = new Date();
    day.value = `${now.getFullYear()}-${String(now.getMonth() + 1).padStart(2, "0")}-${String(now.getDate()).padStart(2, "0")}`;
    const work = {
      another: () => { show(null); said.textContent = "The form is empty. What you type is another tank."; },
      forget: () => {
        const tank = tanks.shown();
        if (!tank || !confirm(`Forget ${tank.name}? Unless it is saved as a file, it is gone.`)) return;
        tanks.remove(tank.id);
        turned();
        said.textContent = `${tank.name} is forgotten.`;
      },
      file: () => {
        const tank = tanks.shown();
        if (!tank) { said.textContent = "Not yet: type a tank into the form first."; return; }
        download(`${file()}.toml`, tank.text, "application/toml");
        said.textContent = `${file()}.toml is among your downloads. It is the file that the command line reads.`;
      },
      link: async () => {
        const tank = tanks.shown();
        if (!tank) { said.textContent = "Not yet: type a tank into the form first."; return; }
        const address = `${new URL("your-tank.html", home).href}${IN_LINK}${await squeezed(tank.text)}`;
        one("#tank-link", box).value = address;
        one("#tank-link", box).hidden = false;
        one("#tank-link", box).select();
        try {
          await navigator.clipboard.writeText(address);
          said.textContent = "The link is copied. The tank stands behind the # in it, which browsers send to no server.";
        } catch {
          said.textContent = "Copy the link below. The tank stands behind the # in it, which browsers send to no server.";
        }
      },
      calendar: out(() => engine.ask("calendar", day.value, String(Math.floor(Date.now() / 1000)))[0], () => `${file()}.ics`, "text/calendar"),
      programme: out(() => engine.ask("programme")[0], () => `${file()}.csv`, "text/csv"),
      sheet: out(() => engine.ask("sheet")[0], () => `${file()}.json`, "application/json"),
    };
    for (const [name, does] of Object.entries(work)) one(`[data-keep=${name}]`, box).addEventListener("click", does);
    one("#tank-import", box).addEventListener("change", async ({ target }) => {
      const [chosen] = target.files;
      if (!chosen) return;
      if (chosen.size > 65536) {
        said.textContent = `${chosen.name} is too long for a tank file.`;
        return;
      }
      const text = await chosen.text();
      let name = chosen.name.replace(/\.toml$/, "");
      try {
        name = engine.reckon(text);
        said.textContent = `${name} is read.`;
      } catch (error) {
        said.textContent = `${chosen.name} is read. What is wrong in it stands at the form.`;
      }
      tanks.add(name, text);
      turned();
      target.value = "";
    });
    box.hidden = false;
  }

  // ---------------------------------------------------------------- Begin

  // For the measurement of an edit: a page set for a text.
  window.reckonerFollow = async (text) => {
    const engine = await Engine.started();
    page.set(engine, text);
    void main.offsetHeight;
  };
  window.reckonerWhy = why;
  window.reckonerWhyOf = whyOf;
  tanks.load();
  // What was changed in another tab, or while this page was put aside.
  function reread() {
    if (tanks.lasts) tanks.load();
    document.dispatchEvent(new Event("reckoner-tank"));
    follow();
  }
  addEventListener("storage", ({ key }) => { if (key === KEY || key === null) reread(); });
  addEventListener("pageshow", ({ persisted }) => { if (persisted) reread(); });
  const brings = () => location.hash.startsWith(IN_LINK);
  addEventListener("hashchange", () => { if (brings()) receive(); });
  // The page of the whole book prints itself when this is done.
  window.reckonerFollowed = (async () => {
    await (brings() ? receive() : follow());
    if (!isFormPage) return;
    try {
      const engine = await Engine.started();
      serve(engine);
      keep(engine);
    } catch (error) {
      tell(wrong(error));
    }
  })();
})();
