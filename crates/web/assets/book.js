"use strict";
// The pages are pictures that the server draws; over each lies a layer of its notes. All that
// is known of the book is asked of the server, so that it and the files never disagree.

const pages = document.getElementById("pages");
const card = document.getElementById("card");
const say = document.getElementById("say");
let turn = 0;
let chosen = null;
let before = new Map();
// Until the pages in sight are drawn as the book is now.
let drawing = Promise.resolve();

const seen = new IntersectionObserver((entries) => {
  for (const entry of entries) {
    if (entry.isIntersecting) draw(entry.target);
  }
}, { rootMargin: "100% 0px" });

function tell(text) {
  say.textContent = text;
  clearTimeout(tell.timer);
  tell.timer = setTimeout(() => { say.textContent = ""; }, 6000);
}

async function fragment(path) {
  const answer = await fetch(path);
  const text = await answer.text();
  if (!answer.ok) throw new Error(text);
  return text;
}

/** Draws a page if it is not drawn as the book is now; what is said of its notes may be new
    where its picture is not. */
async function draw(sheet) {
  const { page, wanted } = sheet.dataset;
  const now = String(turn);
  const drawn = sheet.dataset.drawn === wanted;
  if (drawn && sheet.dataset.noted === now) return;
  sheet.dataset.drawn = wanted;
  sheet.dataset.noted = now;
  let picture = sheet.querySelector("img");
  if (!drawn || !picture) {
    picture = new Image();
    picture.alt = "Page " + page;
    picture.src = `/page/${page}/picture?turn=${wanted}`;
  }
  const [notes] = await Promise.all([fragment(`/page/${page}/notes?turn=${now}`), picture.decode().catch(() => {})]);
  if (sheet.dataset.drawn !== wanted || sheet.dataset.noted !== now) return;
  const layer = document.createElement("template");
  layer.innerHTML = notes;
  const focused = sheet.contains(document.activeElement) ? document.activeElement.dataset : null;
  sheet.replaceChildren(picture, layer.content);
  mark(sheet);
  const first = sheet.querySelector(".note");
  if (first) first.setAttribute("tabindex", "0");
  const again = focused && sheet.querySelector(`.note[data-item="${focused.item}"][data-note="${focused.note}"]`);
  if (again) again.focus({ preventScroll: true });
}

/** Marks the chosen note, and those that are played otherwise than before. */
function mark(sheet) {
  for (const note of sheet.querySelectorAll(".note")) {
    const key = note.dataset.item + ":" + note.dataset.note;
    note.classList.toggle("chosen", key === chosen);
    const was = before.get(key);
    note.classList.toggle("moved", was !== undefined && was !== note.getAttribute("aria-label"));
  }
}

function remember() {
  before = new Map();
  for (const note of pages.querySelectorAll(".note")) {
    before.set(note.dataset.item + ":" + note.dataset.note, note.getAttribute("aria-label"));
  }
}

/** Says how many notes are played otherwise than before, and where. */
function sayMoved() {
  const moved = [...pages.querySelectorAll(".note.moved")];
  const bars = [...new Set(moved.map((note) => Number(note.dataset.bar)))].sort((one, other) => one - other);
  if (!moved.length) return "Done. No note on the pages in sight is played otherwise.";
  const notes = moved.length === 1 ? "One note is" : `${moved.length} notes are`;
  const where = bars.length === 1 ? `bar ${bars[0]}` : `bars ${bars[0]} to ${bars[bars.length - 1]}`;
  return `Done. ${notes} played otherwise now, in ${where}; ${moved.length === 1 ? "it is" : "they are"} marked.`;
}

/** Puts new contents into a part of the page; the keyboard stays there. */
function refill(box, html) {
  const active = box.contains(document.activeElement) && box !== document.activeElement ? document.activeElement : null;
  box.innerHTML = html;
  if (!active) return;
  // What is called the same, else what takes the step back here, else the whole.
  const same = [...box.querySelectorAll("button")].find((other) => active.textContent && other.textContent === active.textContent);
  for (const next of [same, box.querySelector("[data-take=unpin]"), box]) {
    if (next && !box.contains(document.activeElement)) next.focus({ preventScroll: true });
  }
}

/** Shows how the book is now: first the pages in sight that changed, then all the rest. */
function show(turned) {
  turn = turned.turn;
  for (let page = pages.children.length + 1; page <= turned.count; page++) {
    const sheet = document.createElement("section");
    sheet.className = "sheet";
    sheet.id = "page-" + page;
    sheet.dataset.page = page;
    sheet.dataset.wanted = turn;
    sheet.style.aspectRatio = "210 / 297";
    sheet.setAttribute("aria-label", "Page " + page);
    pages.append(sheet);
    seen.observe(sheet);
  }
  while (pages.children.length > turned.count) pages.lastElementChild.remove();
  for (const page of turned.pages) {
    const sheet = document.getElementById("page-" + page);
    if (sheet) sheet.dataset.wanted = turn;
  }
  const inSight = [...pages.children].filter((sheet) => {
    const box = sheet.getBoundingClientRect();
    return box.bottom > -innerHeight && box.top < 2 * innerHeight;
  });
  const changed = inSight.filter((sheet) => sheet.dataset.drawn !== sheet.dataset.wanted);
  drawing = Promise.allSettled(changed.map(draw)).then(() => Promise.allSettled(inSight.map(draw)));
  for (const [id, said] of [["undo", turned.undo], ["redo", turned.redo]]) {
    const button = document.getElementById(id);
    button.disabled = said === null;
    button.title = said || "";
  }
  drawing.then(() => {
    if (turn !== turned.turn) return;
    document.dispatchEvent(new Event("turned"));
    for (const sheet of pages.children) { seen.unobserve(sheet); seen.observe(sheet); }
    fragment("/contents").then((html) => { document.getElementById("contents").innerHTML = html; });
    fragment("/findings").then((html) => refill(document.getElementById("findings"), html));
  });
}

async function choose(note) {
  chosen = note.dataset.item + ":" + note.dataset.note;
  for (const other of pages.querySelectorAll(".note.chosen")) other.classList.remove("chosen");
  note.classList.add("chosen");
  document.dispatchEvent(new CustomEvent("chosen", { detail: { item: Number(note.dataset.item), note: Number(note.dataset.note) } }));
  try {
    refill(card, await fragment(`/note?item=${note.dataset.item}&note=${note.dataset.note}`));
  } catch (error) {
    card.textContent = error.message;
  }
}

/** Sends a change; says why where it is refused. */
async function send(path, body) {
  remember();
  const answer = await fetch(path, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body || {}),
  });
  const told = await answer.json().catch(() => ({ message: "The program does not answer." }));
  if (!answer.ok) { tell(told.message); return; }
  // The news of it may have come already.
  if (told.turn > turn) show(told);
  await drawing;
  tell(sayMoved());
  const [item, note] = (chosen || "").split(":");
  if (note) refill(card, await fragment(`/note?item=${item}&note=${note}`).catch((error) => error.message));
}

function take(button) {
  const { base, at, note } = JSON.parse(button.closest(".card").dataset.handle);
  const what = button.dataset.take;
  const where = `bar ${note.bar}, beat ${note.beat}`;
  if (what === "unpin") return send("/edit", { said: "leave " + where + " to the program", base, do: "unpin", at, note });
  const said = button.textContent + " at " + where;
  const position = what.match(/^position (\w+)$/);
  if (position) {
    const bars = barsOf(button.closest("li"));
    const inBars = `${button.textContent} in bars ${bars}`;
    return send("/edit", { said: inBars, base, do: "position", at, part: note.part, bars, position: position[1] });
  }
  return send("/edit", { said, base, do: "pin", at, note, what: JSON.parse(what) });
}

/** The bars that a way is taken for, as a plan has them: 5-8. */
function barsOf(way) {
  const [one, other] = ["first", "last"].map((end) => Number(way.querySelector(".range-" + end).value));
  return one === other ? String(one) : `${Math.min(one, other)}-${Math.max(one, other)}`;
}

/** The bars that are set for whatever is decided about bars. */
function barsSet(span) {
  const [one, other] = ["from", "to"].map((end) => Number(span.querySelector(".span-" + end).value));
  return one === other ? String(one) : `${Math.min(one, other)}-${Math.max(one, other)}`;
}

/** Marks the notes of some bars of a part, so that they are seen before something is decided. */
function markBars(bars, part) {
  for (const note of pages.querySelectorAll(".note.inrange")) note.classList.remove("inrange");
  if (!bars || !chosen) return;
  const [first, last = first] = bars.split("-").map(Number);
  for (const note of pages.querySelectorAll(`.note[data-item="${chosen.split(":")[0]}"][data-part="${part}"]`)) {
    const bar = Number(note.dataset.bar);
    if (bar >= first && bar <= last) note.classList.add("inrange");
  }
}

/** Marks the notes that a way has played otherwise, so that they are seen before it is taken. */
function markMoved(way) {
  markBars(null);
  for (const note of way.dataset.moved.split(" ")) {
    const found = pages.querySelector(`.note[data-item="${chosen.split(":")[0]}"][data-note="${note}"]`);
    if (found) found.classList.add("inrange");
  }
}

/** Does what a remedy says; where one of several words is chosen, with that. */
function remedy(button) {
  const edit = JSON.parse(button.dataset.edit);
  const words = button.parentElement.querySelector(".choose select");
  if (words && edit.do === "word") edit.word = words.value;
  return send("/edit", edit);
}

/** What is decided about some bars. */
function takeBars(button) {
  const held = button.closest(".card");
  const { base, at, note } = JSON.parse(held.dataset.handle);
  const bars = barsSet(held.querySelector(".span"));
  if (button.dataset.span === "no-barre") return send("/edit", { said: "no barre in bars " + bars, base, do: "no-barre", at, bars });
  const position = held.querySelector(".span-position").value;
  return send("/edit", { said: `the hand in ${position} in bars ${bars}`, base, do: "position", at, part: note.part, bars, position });
}

/** The next note of a page's layer in a direction. */
function next(note, step) {
  const all = [...pages.querySelectorAll(".note")];
  return all[all.indexOf(note) + step];
}

pages.addEventListener("click", (event) => {
  const note = event.target.closest(".note");
  if (note) choose(note);
});
pages.addEventListener("keydown", (event) => {
  const note = event.target.closest(".note");
  if (!note) return;
  const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
  const other = step ? next(note, step) : null;
  if (other) {
    event.preventDefault();
    note.setAttribute("tabindex", "-1");
    other.setAttribute("tabindex", "0");
    other.focus();
    choose(other);
  } else if (event.key === "Enter" || event.key === " ") {
    event.preventDefault();
    choose(note);
  }
});
/** Shows the note that a remark is about. */
async function reveal(button) {
  const page = button.closest("[data-page]").dataset.page;
  const selector = `.note[data-item="${button.dataset.item}"][data-note="${button.dataset.note}"]`;
  const sheets = [...pages.children].slice(Number(page) - 1);
  for (const sheet of sheets) {
    await draw(sheet);
    const note = sheet.querySelector(selector);
    if (note) {
      note.scrollIntoView({ block: "center" });
      return choose(note);
    }
  }
}
document.getElementById("findings").addEventListener("click", (event) => {
  const button = event.target.closest("button[data-note]");
  if (button) reveal(button);
  const cure = event.target.closest("button[data-edit]");
  if (cure) remedy(cure);
});
for (const kind of ["focusin", "input", "pointerover"]) {
  card.addEventListener(kind, (event) => {
    const way = event.target.closest(".ways li");
    const range = way && way.querySelector(".range");
    const span = event.target.closest(".span[open]");
    if (range) markBars(barsOf(way), range.dataset.part);
    else if (way && way.dataset.moved) markMoved(way);
    else if (span) markBars(barsSet(span), JSON.parse(span.closest(".card").dataset.handle).note.part - 1);
    else if (kind === "focusin") markBars(null);
  });
}
card.addEventListener("pointerleave", () => { if (!card.querySelector(".ways li:focus-within, .span:focus-within")) markBars(null); });
card.addEventListener("click", (event) => {
  const button = event.target.closest("[data-take]");
  if (button) take(button);
  const span = event.target.closest("[data-span]");
  if (span) takeBars(span);
  const cure = event.target.closest("button[data-edit]");
  if (cure) remedy(cure);
});
document.getElementById("undo").addEventListener("click", () => send("/undo"));
document.getElementById("redo").addEventListener("click", () => send("/redo"));

// The files as text. What was begun is not taken away by what happens elsewhere.
const file = document.getElementById("file");
const text = document.getElementById("text");
const keep = document.getElementById("keep");
const both = document.getElementById("both");
let base = null;
let read = "";

async function listFiles() {
  const names = JSON.parse(await fragment("/files"));
  const chosenFile = file.value;
  file.replaceChildren(...names.map((name) => new Option(name, name)));
  if (names.includes(chosenFile)) file.value = chosenFile;
}

async function readFile() {
  both.hidden = true;
  const answer = JSON.parse(await fragment("/text?file=" + encodeURIComponent(file.value)));
  base = answer.base;
  read = text.value = answer.text;
  keep.disabled = true;
}

async function keepText() {
  remember();
  const answer = await fetch("/edit", {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ said: "the text of " + file.value, base, do: "write", file: file.value, text: text.value }),
  });
  const told = await answer.json().catch(() => ({ message: "The program does not answer." }));
  if (answer.status === 409) {
    both.hidden = false;
    document.getElementById("theirs").textContent = told.now;
    return;
  }
  if (!answer.ok) { tell(told.message); return; }
  await readFile();
  tell("Kept.");
}

document.getElementById("words").addEventListener("toggle", async (event) => {
  if (event.target.open && !file.options.length) { await listFiles(); await readFile(); }
});
file.addEventListener("change", readFile);
text.addEventListener("input", () => { keep.disabled = text.value === read; });
keep.addEventListener("click", keepText);
document.getElementById("take-theirs").addEventListener("click", readFile);
document.getElementById("keep-mine").addEventListener("click", async () => {
  const mine = text.value;
  await readFile();
  text.value = mine;
  await keepText();
});

fragment("/now").then((text) => show(JSON.parse(text)));
const changes = new EventSource("/changes");
changes.addEventListener("message", (event) => {
  const turned = JSON.parse(event.data);
  if (turned.turn > turn) show(turned);
  // A text that nobody began to change follows the file.
  if (file.value && text.value === read) readFile().catch(() => {});
});
