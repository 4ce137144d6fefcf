"use strict";
// Prose: a text is written beside its page. It is kept whenever one pauses, so that the page is
// always the page; what was changed elsewhere meanwhile is shown beside it and never lost.

const prosePanel = field("prose");
const proseFile = field("prose-file");
const proseText = field("prose-text");
const proseState = field("prose-state");
const proseBoth = field("prose-both");
const PAUSE = 900;
let prose = { name: "", said: "", base: null, read: "" };
let pause = null;
let keeping = Promise.resolve();

/** Texts by what they are, each a file or a section that has none yet. */
async function listProse(wanted) {
  const told = JSON.parse(await fragment("/order"));
  const files = JSON.parse(await fragment("/files")).filter((name) => name.startsWith("text/"));
  const options = [];
  const taken = new Set();
  const put = (said, name) => { options.push(new Option(said, name)); taken.add(name); };
  told.preface.forEach((name, at) => put(told.preface.length > 1 ? `Preface ${at + 1}: ${name.slice(5)}` : "Preface", name));
  let page = {};
  for (const section of told.sections) {
    const says = Object.fromEntries(section.says);
    const title = says.title || section.name;
    const intro = says.intro ? says.intro.split("\n\n") : [];
    for (const name of intro) put(`${title}: introduction`, "text/" + name);
    if (!intro.length) put(`${title}: introduction, not written yet`, "section:" + section.name);
    const first = section.items.find((item) => item.page);
    for (const name of intro) page["text/" + name] = first && first.page;
    for (const item of section.items) {
      const own = Object.fromEntries(item.says);
      if (own.kind === "text" && own.file) put(`${title}: ${own.title || own.file}`, "text/" + own.file);
    }
    if (wanted === "section:" + section.name && intro.length) wanted = "text/" + intro[0];
  }
  for (const name of files) if (!taken.has(name)) put(`Not in the book: ${name.slice(5)}`, name);
  const before = wanted || proseFile.value;
  proseFile.replaceChildren(...options);
  if (options.some((option) => option.value === before)) proseFile.value = before;
  listProse.page = page;
}

const isNew = (name) => name.startsWith("section:");
const stands = async (name) => (isNew(name) ? { text: "", base: null } : JSON.parse(await fragment("/text?file=" + encodeURIComponent(name))));

async function readProse() {
  clearTimeout(pause);
  const name = proseFile.value;
  // Nothing is typed into a text that is about to be another.
  proseText.readOnly = true;
  const now = await stands(name).finally(() => { proseText.readOnly = false; });
  prose = { name, said: proseFile.selectedOptions[0].textContent, base: now.base, read: now.text };
  proseText.value = now.text;
  proseBoth.hidden = true;
  proseState.textContent = "As it is in the book. What you write is kept as you pause.";
  const page = listProse.page[name];
  const sheet = page && document.getElementById("page-" + page);
  // The text first, then its page: the page is narrower than before.
  field("margin").scrollTop = prosePanel.offsetTop - 8;
  if (sheet) sheet.scrollIntoView({ block: "start", behavior: "instant" });
}

function conflict(theirs) {
  proseBoth.hidden = false;
  field("prose-theirs").textContent = theirs;
  field("prose-mine").textContent = proseText.value;
  proseState.textContent = "Changed elsewhere: choose below which text is to stay.";
}

/** Keeps what was written, if nobody else wrote there meanwhile; one text after the other. */
function keepProse() {
  clearTimeout(pause);
  keeping = keeping.then(keepNow).catch((error) => { proseState.textContent = error.message; });
  return keeping;
}

async function keepNow() {
  const own = prose;
  const mine = proseText.value;
  if (!own.name || mine === own.read || !proseBoth.hidden) return;
  let { name } = own;
  const edit = { said: "the text " + own.said.replace(", not written yet", ""), base: own.base, do: "write", file: name, text: mine };
  if (isNew(name)) {
    const section = name.slice("section:".length);
    name = edit.file = `text/${section}.md`;
    const { base } = JSON.parse(await fragment(`/text?file=sections/${section}.toml`));
    edit.also = [{ base, do: "change-section", section, keys: [["intro", section + ".md"]] }];
  }
  const answer = await fetch("/edit", { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(edit) });
  const told = await answer.json().catch(() => ({ message: "The program does not answer; your text is still here." }));
  if (answer.status === 409) return conflict(told.now);
  if (!answer.ok) { proseState.textContent = told.message; return; }
  const now = await stands(name);
  // Someone may have written between our text and this question.
  if (now.text !== mine) return conflict(now.text);
  Object.assign(own, { name, base: now.base, read: mine });
  if (proseText.value === mine) proseState.textContent = "Kept. The page beside shows it.";
  if (edit.also) await listProse(name);
}

function begun() {
  proseState.textContent = "…";
  clearTimeout(pause);
  pause = setTimeout(keepProse, PAUSE);
}

/** Puts a box of its own below what is being written. */
function putBox(word) {
  const { selectionStart: from, selectionEnd: to, value } = proseText;
  const inside = value.slice(from, to) || "What the student should know.";
  const gap = from === 0 || value.slice(0, from).endsWith("\n\n") ? "" : value.slice(0, from).endsWith("\n") ? "\n" : "\n\n";
  const quoted = inside.split("\n").map((line) => "> " + line).join("\n");
  proseText.setRangeText(`${gap}> [!${word}]\n${quoted}\n`, from, to, "end");
  proseText.focus();
  begun();
}

function putAround(sign) {
  const { selectionStart: from, selectionEnd: to, value } = proseText;
  proseText.setRangeText(sign + value.slice(from, to) + sign, from, to, "end");
  if (from === to) proseText.selectionEnd = proseText.selectionStart -= sign.length;
  proseText.focus();
  begun();
}

/** Opens a text beside its page. */
async function writeText(name) {
  await keepProse();
  proseText.readOnly = true;
  if (!prosePanel.open) {
    writeText.opens = true;
    prosePanel.open = true;
    document.body.classList.add("writing");
  }
  await listProse(name);
  await readProse();
  proseText.focus({ preventScroll: true });
}

prosePanel.addEventListener("toggle", async () => {
  document.body.classList.toggle("writing", prosePanel.open);
  if (!prosePanel.open) return keepProse();
  const opens = writeText.opens;
  writeText.opens = false;
  if (opens) return;
  proseText.readOnly = true;
  await listProse();
  await readProse();
});
proseFile.addEventListener("change", async () => { await keepProse(); if (proseBoth.hidden) await readProse(); else proseFile.value = prose.name; });
proseText.addEventListener("input", begun);
proseText.addEventListener("blur", () => { keepProse(); });
for (const made of prosePanel.querySelectorAll("[data-box]")) made.addEventListener("click", () => putBox(made.dataset.box));
for (const made of prosePanel.querySelectorAll("[data-around]")) made.addEventListener("click", () => putAround(made.dataset.around));
field("prose-take").addEventListener("click", readProse);
field("prose-keep").addEventListener("click", async () => {
  const mine = proseText.value;
  const now = await stands(prose.name);
  prose.base = now.base;
  prose.read = now.text;
  proseText.value = mine;
  proseBoth.hidden = true;
  await keepProse();
});
document.addEventListener("turned", async () => {
  if (!prosePanel.open || isNew(prose.name) || !proseBoth.hidden) return;
  // A text that nobody began to change follows its file.
  if (proseText.value === prose.read) {
    const own = prose;
    const now = await stands(own.name).catch(() => null);
    if (now && own === prose && proseText.value === own.read && now.text !== own.read) {
      Object.assign(own, { base: now.base, read: now.text });
      proseText.value = now.text;
    }
  }
});
window.addEventListener("pagehide", () => { keepProse(); });
