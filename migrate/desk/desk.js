"use strict";
// The desk: sends the texts to this machine's own server and shows what it says. What comes from a text is put in as
// text; what comes as markup was made, and escaped, by the server's own elements.
(() => {
  const $ = (id) => document.getElementById(id);
  const make = (name, text, attributes = {}) => {
    const element = document.createElement(name);
    if (text) element.textContent = text;
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    return element;
  };
  const text = $("text"), moved = $("moved"), root = document.querySelector("[data-player]");
  const player = new Player(root);
  const held = new Map(); // held events now going on: name -> the event
  const state = { name: "pasted.h", form: {}, style: "", styles: [], made: "", events: [], loaded: false, edited: false };
  const generations = [...$("to").options].map((option) => option.value);
  const scene = root.querySelector("[data-scene-choice]");

  async function ask(path, more = {}, raw = false) {
    const body = {
      name: state.name, text: text.value, moved: moved.value, to: $("to").value, read_as: $("read-as").value,
      pixels: $("pixels").valueAsNumber || null, pitch: $("pitch").valueAsNumber || null, style: state.style,
      scene: scene.value, events: state.events, form: state.form, ...more,
    };
    const answer = await fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });
    if (!answer.ok) throw new Error((await answer.json().catch(() => ({}))).error || `the desk answered ${answer.status}`);
    return raw ? answer.blob() : answer.json();
  }

  // Of several calls only the last one waiting is made, and one at a time: typing never queues up work.
  function latest(work) {
    let busy = false, again = null;
    return async function run(...given) {
      if (busy) { again = given; return; }
      busy = true;
      try { await work(...given); } finally {
        busy = false;
        if (again) { const next = again; again = null; run(...next); }
      }
    };
  }
  const later = (wait, work) => {
    let timer = 0;
    return (...given) => { clearTimeout(timer); timer = setTimeout(() => work(...given), wait); };
  };
  const say = (place, words) => { place.textContent = words; };

  // ---- editors: marks behind the text -----------------------------------------------------------------

  class Editor {
    constructor(area) {
      this.area = area;
      this.behind = area.parentElement.querySelector(".behind");
      this.dates = [];
      this.lit = [];
      area.addEventListener("scroll", () => this.follow());
    }
    follow() { this.behind.scrollTop = this.area.scrollTop; this.behind.scrollLeft = this.area.scrollLeft; }
    draw() {
      const value = this.area.value, edges = new Set([0, value.length]), spans = [...this.dates, ...this.lit];
      for (const span of spans) { edges.add(Math.min(span.start, value.length)); edges.add(Math.min(span.end, value.length)); }
      const cuts = [...edges].sort((a, b) => a - b), parts = [];
      const starts = spans.slice().sort((a, b) => a.start - b.start);
      let open = [], next = 0;
      for (let k = 0; k + 1 < cuts.length; k++) {
        while (next < starts.length && starts[next].start <= cuts[k]) open.push(starts[next++]);
        open = open.filter((span) => span.end > cuts[k]);
        const piece = value.slice(cuts[k], cuts[k + 1]);
        parts.push(open.length ? make("mark", piece, { class: open.map((span) => span.kind).join(" ") }) : document.createTextNode(piece));
      }
      // A last newline has no height in a pre unless something follows it.
      this.behind.replaceChildren(...parts, document.createTextNode("\n "));
      this.follow();
    }
    light(spans) { this.lit = spans; this.draw(); }
    reveal(offset) {
      const line = this.area.value.slice(0, offset).split("\n").length - 1, high = parseFloat(getComputedStyle(this.area).lineHeight);
      const at = line * high, room = this.area.clientHeight;
      if (at < this.area.scrollTop + high || at > this.area.scrollTop + room - 3 * high) this.area.scrollTop = Math.max(0, at - room / 3);
      this.follow();
    }
  }
  const left = new Editor(text), right = new Editor(moved);

  // ---- dating --------------------------------------------------------------------------------------------

  const date = latest(async () => {
    if (!text.value.trim()) { left.dates = []; left.draw(); return say($("dated"), ""); }
    const value = text.value, found = await ask("/date").catch((error) => ({ error: error.message }));
    if (found.error) return say($("dated"), found.error);
    if (value !== text.value) return;
    left.dates = found.marks.filter((mark) => mark.certainty !== "unknown").map((mark) => ({
      start: mark.start, end: mark.end,
      kind: mark.certainty === "accepted by none" ? "none" : mark.certainty === "ambiguous" ? "ambiguous"
        : `g${generations.indexOf(mark.generation)}${mark.certainty === "by context" ? " context" : ""}`,
    }));
    left.draw();
    const parts = found.generation ? [make("strong", found.settled ? `Read as ${found.generation}` : `Most like ${found.generation}`)] : [make("span", "No construct of any generation yet.")];
    for (const [name, count] of Object.entries(found.counts)) {
      const line = make("span");
      if (generations.includes(name)) line.append(make("i", "", { class: `g${generations.indexOf(name)}` }));
      line.append(`${name}: ${count} ${count === 1 ? "construct" : "constructs"}`);
      parts.push(line);
    }
    if (found.mixed.length > 1) parts.push(make("strong", `It mixes ${found.mixed.join(" and ")}.`));
    $("dated").replaceChildren(...parts);
  });

  // ---- moving ----------------------------------------------------------------------------------------------

  const move = latest(async () => {
    if (!text.value.trim()) return;
    say($("summary"), "Moving …");
    const found = await ask("/move").catch((error) => ({ error: error.message }));
    if (found.error) return say($("summary"), found.error);
    moved.value = state.made = found.text;
    state.edited = false;
    state.styles = found.styles;
    right.lit = [];
    right.draw();
    say($("summary"), found.summary);
    showStyles();
    showDiagnostics(found.diagnostics);
    for (const kind of ["file", "patch", "report"]) $(`get-${kind}`).disabled = false;
    await play();
  });

  function showStyles() {
    if (!state.styles.some((style) => style.name === state.style)) state.style = state.styles[0]?.name || "";
    const rows = state.styles.map((style) => {
      const label = make("label"), radio = make("input", "", { type: "radio", name: "style", value: style.name });
      radio.checked = style.name === state.style;
      radio.addEventListener("change", () => { state.style = style.name; player.frame = 0; showLine(style); play(); });
      const chip = make("span");
      chip.innerHTML = style.chip;
      chip.className = "chip";
      label.append(radio, make("span", style.name), chip, make("small", [style.label, style.words].filter(Boolean).join("\n")));
      return label;
    });
    const place = $("styles");
    place.replaceChildren(...(rows.length ? rows : [make("p", "The text holds no style.", { class: "soft" })]));
    const chosen = place.querySelector(":checked")?.closest("label");
    // Within the list alone: the page itself must not jump under the reader's hands.
    if (chosen) place.scrollTop = chosen.offsetTop - place.offsetTop - place.clientHeight / 3;
  }
  function showLine(style) {
    const lines = text.value.split("\n");
    left.reveal(lines.slice(0, style.line - 1).join("\n").length + 1);
    const at = moved.value.search(new RegExp(`\\b${style.name.replace(/[^\w]/g, "\\$&")}\\b`));
    if (at >= 0) right.reveal(at);
  }
  function showDiagnostics(found) {
    $("diagnostics").replaceChildren(...found.slice(0, 40).map((one) =>
      make("p", `Line ${one.line}: ${one.message}${one.hint ? ` (${one.hint})` : ""}`, { class: one.severity })));
  }

  // ---- playing and comparing ----------------------------------------------------------------------------------

  // A quick comparison follows every change; the full measure comes when the typing rests, beside it, and is dropped
  // where something changed meanwhile.
  let turn = 0;
  const play = latest(async () => {
    const mine = ++turn, began = performance.now();
    if (!state.style) { root.hidden = true; $("plots").replaceChildren(); return; }
    const found = await ask("/play").catch((error) => ({ error: error.message }));
    await showPlay(found, began);
    if (!found.error && !found.exact) measure(mine);
  });
  const measureAlone = latest(async (mine) => {
    if (mine !== turn) return;
    const found = await ask("/play", { full: true }).catch((error) => ({ error: error.message }));
    if (mine === turn) await showPlay(found, null);
  });
  const measure = later(350, measureAlone);
  async function showPlay(found, began) {
    if (found.error) return say($("verdict"), found.error);
    $("verdict-grade").innerHTML = found.grade;
    say($("verdict"), `${found.style}: ${found.figures}`);
    $("plots").innerHTML = found.plots;
    const images = {};
    for (const image of $("plots").querySelectorAll("img")) if (image.dataset.side !== "difference") images[image.dataset.side] = image;
    root.querySelector("[data-flashes]").textContent = found.flashes;
    root.querySelector("[data-caution]").classList.toggle("over", found.over);
    const captions = root.querySelectorAll(".blade figcaption b");
    captions[0].textContent = `${found.style}, before`;
    captions[1].textContent = `${found.style}, ${$("to").value}`;
    root.hidden = false;
    await player.load(images);
    if (began !== null) document.body.dataset.took = Math.round(performance.now() - began);
    document.body.dataset.settled = String(found.exact);
    const chosen = $("styles").querySelector(":checked")?.closest("label");
    if (found.exact && chosen && found.style === state.style) {
      chosen.querySelector(".chip").innerHTML = found.grade;
      if (state.edited) chosen.querySelector("small").textContent = `edited: ${found.figures}`;
    }
  }

  // ---- the caret ------------------------------------------------------------------------------------------------

  const explain = latest(async (area) => {
    const side = area === text ? "text" : "moved", other = side === "text" ? right : left, own = side === "text" ? left : right;
    const found = await ask("/construct", { side, offset: area.selectionStart }).catch(() => ({}));
    if (!found.name) return;
    own.light([{ start: found.span[0], end: found.span[1], kind: "here" }]);
    other.light(found.counterparts.map((one) => ({ start: one.span[0], end: one.span[1], kind: "like" })));
    if (found.counterparts.length) other.reveal(found.counterparts[0].span[0]);
    const here = make("div"), head = make("p");
    head.append(make("strong", found.name), ` is ${/^[aeiou]/.test(found.sort) ? "an" : "a"} ${found.sort} of ${found.generation}${found.through ? `, read through ${found.through}` : ""}.`);
    here.append(head, make("pre", found.pack));
    for (const line of [...found.differs.map((words) => `Beware in ${words}`), ...found.notes]) here.append(make("p", line, { class: "soft" }));
    const there = make("div");
    there.append(make("p", found.counterparts.length ? "Its counterpart:" : moved.value ? "No single construct of the other text means this alone; it became part of what stands round it." : "Move the text to see its counterpart."));
    for (const one of found.counterparts) {
      there.append(make("pre", one.text));
      const go = make("button", `Go to ${one.name}`, { type: "button" });
      go.addEventListener("click", () => { other.area.focus(); other.area.setSelectionRange(...one.span); other.reveal(one.span[0]); });
      there.append(go);
    }
    const pair = make("div", "", { class: "pair" });
    pair.append(here, there);
    $("told").replaceChildren(pair);
  });
  for (const area of [text, moved]) {
    const caret = later(120, () => explain(area));
    area.addEventListener("click", caret);
    area.addEventListener("keyup", (event) => { if (/^(Arrow|Home|End|Page)/.test(event.key)) caret(); });
  }

  // ---- what the user does ------------------------------------------------------------------------------------------

  const dateSoon = later(250, date), moveSoon = later(450, move);
  function textChanged() {
    left.dates = [];
    left.lit = [];
    left.draw();
    dateSoon();
    if (!state.edited) moveSoon();
    else say($("summary"), "Your text changed. Move again to take that over; it replaces your edits here.");
  }
  text.addEventListener("input", textChanged);
  moved.addEventListener("input", () => {
    state.edited = moved.value !== state.made;
    right.lit = [];
    right.draw();
    say($("summary"), state.edited ? "Edited by hand; the comparison follows." : "");
    play();
  });
  $("move").addEventListener("click", () => { date(); move(); });
  $("to").addEventListener("change", move);
  $("read-as").addEventListener("change", () => { date(); move(); });
  for (const id of ["pixels", "pitch"]) $(id).addEventListener("change", move);
  scene.addEventListener("change", () => { player.stop(); player.frame = 0; state.events = []; held.clear(); showEvents(); play(); });

  async function take(file) {
    const bytes = new Uint8Array(await file.arrayBuffer());
    if (bytes.length > 250000) return say($("dated"), "This file is too big for the desk; the command line takes it.");
    state.form = { bom: bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf, encoding: "utf-8" };
    let value;
    try { value = new TextDecoder("utf-8", { fatal: true }).decode(bytes); } catch {
      // Latin-1 maps each byte to the code point of its number; the browser's own label for it means another table.
      value = Array.from(bytes, (byte) => String.fromCharCode(byte)).join("");
      state.form.encoding = "latin-1";
    }
    state.form.crlf = (value.match(/\r\n/g) || []).length * 2 > (value.match(/\n/g) || []).length;
    state.name = file.name;
    state.edited = false;
    text.value = value.replace(/\r\n/g, "\n");
    textChanged();
  }
  $("open").addEventListener("change", () => { if ($("open").files[0]) take($("open").files[0]); $("open").value = ""; });
  for (const kind of ["dragover", "dragleave", "drop"]) $("text-editor").addEventListener(kind, (event) => {
    if (![...event.dataTransfer.types].includes("Files")) return;
    event.preventDefault();
    $("text-editor").classList.toggle("over", kind === "dragover");
    if (kind === "drop" && event.dataTransfer.files[0]) take(event.dataTransfer.files[0]);
  });
  $("demo").addEventListener("click", async () => {
    const demo = await (await fetch("/demo")).json();
    Object.assign(state, { name: demo.name, form: {}, style: demo.style, edited: false });
    text.value = demo.text;
    $("to").value = demo.to;
    textChanged();
  });

  for (const kind of ["file", "patch", "report"]) $(`get-${kind}`).addEventListener("click", async () => {
    const stem = state.name.replace(/\.[^.]*$/, "");
    const name = { file: state.name, patch: `${stem}.patch`, report: `${stem}.html` }[kind];
    say($("summary"), kind === "report" ? "Drawing the report …" : "");
    try {
      const link = make("a", "", { href: URL.createObjectURL(await ask(`/${kind}`, {}, true)), download: name });
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 10000);
      say($("summary"), `${name} is in your downloads.`);
    } catch (error) { say($("summary"), error.message); }
  });

  // ---- events: each happens at the time that the player shows ------------------------------------------------------------

  const button = (name) => root.querySelector(`[data-event="${name}"]`);
  const micro = () => Math.round(player.seconds * 1e6);
  function showEvents() {
    $("clear").disabled = !state.events.length;
    for (const one of root.querySelectorAll("[data-held]")) one.setAttribute("aria-pressed", String(held.has(one.dataset.event)));
  }
  function begin(name) {
    const lasting = button(name).hasAttribute("data-held");
    if (state.events.length >= 64 || (lasting && held.has(name))) return;
    const event = { event: name, start: micro(), place: Number($("place").value) / 100, strength: 1 };
    state.events.push(event);
    if (lasting) held.set(name, event);
    else { button(name).classList.add("down"); setTimeout(() => button(name).classList.remove("down"), 160); }
    showEvents();
    play();
  }
  function end(name) {
    const event = held.get(name);
    if (!event) return;
    held.delete(name);
    if (micro() > event.start) event.end = micro();
    else if (player.playing) state.events.splice(state.events.indexOf(event), 1);
    showEvents();
    play();
  }
  for (const one of root.querySelectorAll("[data-event]")) one.addEventListener("click", () => (held.has(one.dataset.event) ? end : begin)(one.dataset.event));
  $("place").addEventListener("input", () => $("place").setAttribute("aria-valuetext", `${$("place").value} % of the blade`));
  $("clear").addEventListener("click", () => { state.events = []; held.clear(); showEvents(); play(); });
  // Single keys act only while the focus is within the player.
  const named = (event) => !event.ctrlKey && !event.metaKey && !event.altKey && event.target.tagName !== "SELECT"
    && root.querySelector(`[aria-keyshortcuts="${CSS.escape(event.key)}"]`)?.dataset.event;
  root.addEventListener("keydown", (event) => {
    const name = named(event);
    if (name && !event.repeat) { event.preventDefault(); begin(name); }
  });
  root.addEventListener("keyup", (event) => { const name = named(event); if (name && held.has(name)) end(name); });

  left.draw();
  right.draw();
})();
