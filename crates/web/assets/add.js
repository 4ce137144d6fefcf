"use strict";
// What is new in the book: a section, an exercise, a piece from a file or as it is typed.

const add = document.getElementById("add");
const field = (id) => document.getElementById(id);

/** A name for a file: small letters, digits and hyphens. */
function fileName(title) {
  const plain = title.normalize("NFKD").replace(/[\u0300-\u036f]/g, "").replace(/♭/g, "-flat").replace(/[♯#]/g, "-sharp");
  return plain.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "") || "new";
}

async function baseOf(name) {
  const answer = await fetch("/text?file=" + encodeURIComponent(name));
  return answer.ok ? (await answer.json()).base : null;
}

/** Makes an edit; throws what is said against it. */
async function make(edit) {
  const answer = await fetch("/edit", {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(edit),
  });
  const told = await answer.json().catch(() => ({ message: "The program does not answer." }));
  if (!answer.ok) throw new Error(told.message);
}

async function listSections(chosen) {
  const { sections } = JSON.parse(await fragment("/order"));
  for (const list of add.querySelectorAll("select.sections")) {
    const before = chosen || list.value;
    list.replaceChildren(...sections.map(({ name, says }) => new Option(Object.fromEntries(says).title || name, name)));
    if ([...list.options].some((option) => option.value === before)) list.value = before;
  }
}

/** What a section is called. */
const called = (list) => list.selectedOptions[0].textContent;

/** Shows the page on which a section ends, where the new item is. */
async function showEnd(section) {
  const { sections } = JSON.parse(await fragment("/order"));
  const own = sections.find(({ name }) => name === section);
  const last = own && own.items.findLast((item) => item.page);
  const sheet = last && document.getElementById("page-" + last.page);
  if (sheet) sheet.scrollIntoView({ block: "start" });
}

/** Does what a form asks for and says how it went. */
function onSubmit(form, work) {
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const button = form.querySelector("button[type=submit]");
    button.disabled = true;
    try {
      tell(await work());
    } catch (error) {
      tell(error.message);
    } finally {
      button.disabled = false;
    }
  });
}

onSubmit(field("new-section"), async () => {
  const title = field("section-title").value.trim() || field("section-key").value;
  const section = fileName(title);
  const position = field("section-position").value || null;
  const also = [{ base: await baseOf("book.toml"), do: "list-section", section }];
  await make({ said: `the new section ${title}`, base: null, do: "new-section", section, title, key: field("section-key").value, position, also });
  field("section-title").value = "";
  await listSections(section);
  return `${title} is in the book.`;
});

/** Only what the kind wants is asked. */
function kindWants() {
  const kind = field("item-kind").value;
  for (const label of field("new-exercise").querySelectorAll("[data-for]")) {
    label.hidden = !label.dataset.for.split(" ").includes(kind);
  }
}

onSubmit(field("new-exercise"), async () => {
  const section = field("item-section").value;
  const kind = field("item-kind").value;
  const keys = [...field("new-exercise").querySelectorAll("[data-key]")]
    .filter((box) => !box.closest("[hidden]") && box.value.trim())
    .map((box) => [box.dataset.key, box.value.trim()]);
  const named = field("item-kind").selectedOptions[0].textContent.toLowerCase();
  await make({ said: `a new ${named} in ${section}`, base: await baseOf(`sections/${section}.toml`), do: "new-item", section, kind, keys });
  await showEnd(section);
  return `The ${named} is at the end of ${called(field("item-section"))}.`;
});

// A piece: what is typed, or a file.
let pieceName = "";

async function preview() {
  const text = field("piece-text").value;
  const shown = field("piece-shown");
  if (!text.trim()) { shown.replaceChildren(); field("piece-remarks").textContent = ""; return; }
  const answer = await fetch("/typed", {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ name: pieceName || "typed.abc", text }),
  });
  const typed = await answer.json().catch(() => ({ systems: [], remarks: ["The program does not answer."], parts: 0, title: "" }));
  if (field("piece-text").value !== text) return;
  shown.replaceChildren(...typed.systems.map((system) => {
    const picture = new Image();
    picture.src = URL.createObjectURL(new Blob([system], { type: "image/svg+xml" }));
    picture.onload = () => URL.revokeObjectURL(picture.src);
    picture.alt = "A line of the music as it is typed";
    return picture;
  }));
  field("piece-remarks").textContent = typed.remarks.slice(0, 6).join("\n");
  if (typed.title && !field("piece-title").value) field("piece-title").placeholder = typed.title;
  if (typed.parts > 1) field("piece-kind").value = "duet";
}

field("piece-text").addEventListener("input", () => {
  clearTimeout(preview.timer);
  preview.timer = setTimeout(preview, 250);
});

/** A file as text. MusicXML may be packed, and in other letters than UTF-8: the server knows. */
async function textOf(file) {
  if (/\.abc$/i.test(file.name)) return { name: file.name, text: await file.text() };
  const answer = await fetch("/dropped?name=" + encodeURIComponent(file.name), {
    method: "POST",
    headers: { "content-type": "application/octet-stream" },
    body: file,
  });
  if (!answer.ok) throw new Error(await answer.text());
  return answer.json();
}

async function takeFile(file) {
  if (!/\.(abc|musicxml|xml|mxl)$/i.test(file.name)) {
    tell(`${file.name}: a piece is read from .abc, .musicxml, .xml or .mxl; save it as one of these.`);
    return;
  }
  if (file.size > 4_000_000) {
    tell(`${file.name} has more than 4 MB; that is no piece for a lesson.`);
    return;
  }
  try {
    const piece = await textOf(file);
    pieceName = piece.name;
    field("piece-text").value = piece.text;
    field("piece-from").textContent = file.name;
    await preview();
  } catch (error) {
    tell(error.message);
  }
}

field("piece-file").addEventListener("change", (event) => {
  if (event.target.files[0]) takeFile(event.target.files[0]);
});
const drop = field("new-piece");
for (const kind of ["dragover", "drop"]) {
  drop.addEventListener(kind, (event) => {
    event.preventDefault();
    if (kind === "drop" && event.dataTransfer.files[0]) takeFile(event.dataTransfer.files[0]);
  });
}

onSubmit(drop, async () => {
  const text = field("piece-text").value;
  if (!text.trim()) throw new Error("There is no music yet; type it, choose a file or drop one here.");
  const section = field("piece-section").value;
  const kind = field("piece-kind").value;
  const title = field("piece-title").value.trim();
  const ending = pieceName ? pieceName.slice(pieceName.lastIndexOf(".")).toLowerCase() : ".abc";
  const named = title || field("piece-title").placeholder || pieceName.replace(/\.\w+$/, "") || "The piece";
  const own = fileName(title || field("piece-title").placeholder || pieceName.replace(/\.\w+$/, ""));
  const file = own + ending;
  const keys = [["file", file]];
  if (title) keys.push(["title", title]);
  const also = [{ base: await baseOf(`sections/${section}.toml`), do: "new-item", section, kind, keys }];
  await make({ said: `${own} in ${section}`, base: null, do: "write", file: "pieces/" + file, text, also });
  field("piece-text").value = field("piece-title").value = "";
  pieceName = field("piece-from").textContent = "";
  await preview();
  await showEnd(section);
  return `${named} is at the end of ${called(field("piece-section"))}.`;
});

field("item-kind").addEventListener("change", kindWants);
kindWants();
add.addEventListener("toggle", () => { if (add.open) listSections(); });
