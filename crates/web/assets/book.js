"use strict";
// The pages are pictures that the server draws; over each lies a layer of its notes. All that
// is known of the book is asked of the server, so that it and the files never disagree.

const pages = document.getElementById("pages");
const card = document.getElementById("card");
const say = document.getElementById("say");
let turn = 0;
let chosen = null;
let before = new Map();

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

/** Draws a page if it is not drawn as the book is now. */
async function draw(sheet) {
  if (sheet.dataset.drawn === sheet.dataset.wanted) return;
  const wanted = sheet.dataset.wanted;
  sheet.dataset.drawn = wanted;
  const page = sheet.dataset.page;
  const picture = new Image();
  picture.alt = "Page " + page;
  picture.src = `/page/${page}/picture?turn=${wanted}`;
  const [notes] = await Promise.all([fragment(`/page/${page}/notes?turn=${wanted}`), picture.decode().catch(() => {})]);
  if (sheet.dataset.drawn !== wanted) return;
  const layer = document.createElement("template");
  layer.innerHTML = notes;
  sheet.replaceChildren(picture, layer.content);
  mark(sheet);
  const first = sheet.querySelector(".note");
  if (first) first.setAttribute("tabindex", "0");
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

function show(turned) {
  turn = turned.turn;
  document.dispatchEvent(new Event("turned"));
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
    if (!sheet) continue;
    sheet.dataset.wanted = turn;
    const box = sheet.getBoundingClientRect();
    if (box.bottom > -innerHeight && box.top < 2 * innerHeight) draw(sheet);
    else { seen.unobserve(sheet); seen.observe(sheet); }
  }
  for (const [id, said] of [["undo", turned.undo], ["redo", turned.redo]]) {
    const button = document.getElementById(id);
    button.disabled = said === null;
    button.title = said || "";
  }
  fragment("/contents").then((html) => { document.getElementById("contents").innerHTML = html; });
  fragment("/findings").then((html) => { document.getElementById("findings").innerHTML = html; });
}

async function choose(note) {
  chosen = note.dataset.item + ":" + note.dataset.note;
  for (const other of pages.querySelectorAll(".note.chosen")) other.classList.remove("chosen");
  note.classList.add("chosen");
  document.dispatchEvent(new CustomEvent("chosen", { detail: { item: Number(note.dataset.item), note: Number(note.dataset.note) } }));
  try {
    card.innerHTML = await fragment(`/note?item=${note.dataset.item}&note=${note.dataset.note}`);
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
  const [item, note] = (chosen || "").split(":");
  if (note) card.innerHTML = await fragment(`/note?item=${item}&note=${note}`).catch((error) => error.message);
}

function take(button) {
  const { base, at, note } = JSON.parse(button.closest(".card").dataset.handle);
  const what = button.dataset.take;
  const where = `bar ${note.bar}, beat ${note.beat}`;
  if (what === "unpin") return send("/edit", { said: "leave " + where + " to the program", base, do: "unpin", at, note });
  const said = button.textContent + " at " + where;
  const position = what.match(/^position (\w+)$/);
  if (position) {
    const bars = String(note.bar);
    return send("/edit", { said, base, do: "position", at, part: note.part, bars, position: position[1] });
  }
  return send("/edit", { said, base, do: "pin", at, note, what: JSON.parse(what) });
}

/** What is decided about some bars. */
function takeBars(button) {
  const held = button.closest(".card");
  const { base, at, note } = JSON.parse(held.dataset.handle);
  const [from, to] = ["from", "to"].map((end) => Number(held.querySelector(".span-" + end).value));
  const bars = from === to ? String(from) : `${Math.min(from, to)}-${Math.max(from, to)}`;
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
});
card.addEventListener("click", (event) => {
  const button = event.target.closest("[data-take]");
  if (button) take(button);
  const span = event.target.closest("[data-span]");
  if (span) takeBars(span);
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
