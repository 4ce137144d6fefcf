"use strict";
// The order of the book: sections, exercises and pieces are moved, changed and taken out. The
// files are asked anew whenever something happened, so that what is shown is what they say.

const shelf = field("shelf");
const beside = field("beside");
const orderPanel = field("order");
let order = null;
let held = null;

const POSITIONS = ["I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX"];
const KEYS = [...field("section-key").options].map((option) => option.value);
const EXERCISES = { scale: "Scale", "position-scale": "Scale through the position", arpeggio: "Arpeggio", triads: "Triads", progression: "Chord progression" };
const PIECES = { solo: "Solo", duet: "Duet" };
const pairs = (words, first) => [["", first], ...words.map((word) => [word, word])];

// Each: key, what it is called, how it is asked, the kinds that have it.
const ABOUT_ALL = [
  ["title", "Title, if another than its own"],
  ["aim", "Aim: what it is for, in a few words"],
  ["goal", "Tempo at which it is learned, beats a minute", "number"],
  ["level", "What may be asked", [["", "as in its section"], ["first", "a first book: no barre, no extension"]]],
  ["density", "Fingering that is printed", [["", "as in the book"], ["every-note", "at every note"], ["where-needed", "where it is needed"], ["none", "none"]]],
  ["stroke", "Stroke", [["", "as in the book"], ["rest", "rest stroke"], ["free", "free stroke"]]],
  ["pattern", "Right hand, as in p i m a"],
  ["advice", "Advice printed with it; an empty line between two", "text"],
  ["prepare", "Print what is to be prepared, too", "check"],
];
const ABOUT_EXERCISE = [
  ["kind", "Kind", Object.entries(EXERCISES)],
  ["position", "Position of the left hand", [...pairs(POSITIONS, "as in its section"), ["auto", "as is easiest"]]],
  ["degrees", "Degrees", "needed", ["progression"]],
  ["degree", "Degree", "", ["triads"]],
  ["minor", "In minor", [["", "natural"], ["harmonic", "harmonic"], ["melodic", "melodic"]], ["scale", "position-scale"]],
  ["note-value", "Note value", pairs(["whole", "half", "dotted-half", "quarter", "dotted-quarter", "eighth", "sixteenth"], "as usual")],
  ...ABOUT_ALL,
];
const ABOUT_PIECE = [
  ["kind", "Kind", Object.entries(PIECES)],
  ["composer", "Composer, if the music does not say"],
  ["tempo", "Quarters a minute, if the music has no tempo", "number"],
  ...ABOUT_ALL,
];
const ABOUT_TEXT = [["title", "Title"]];
const ABOUT_SECTION = [
  ["title", "Title", "needed"],
  ["key", "Key", pairs(KEYS, "none")],
  ["position", "Position of the left hand", [["auto", "as is easiest"], ...POSITIONS.map((word) => [word, word])]],
];

const saying = (says) => Object.fromEntries(says);
const sectionOf = (name) => order.sections.find((section) => section.name === name);
const titleOf = (section) => saying(section.says).title || section.name;

function button(label, work, id) {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = label;
  if (id) made.dataset.does = id;
  made.addEventListener("click", () => Promise.resolve(work()).catch((error) => tell(error.message)));
  return made;
}

/** One entry of the order; what is held has its tools below it. */
function entry(label, what) {
  const row = document.createElement("li");
  const made = button(label, () => hold(what));
  made.className = "entry";
  made.dataset.section = what.section;
  if (what.item !== undefined) made.dataset.item = what.item;
  const own = held && held.section === what.section && held.item === what.item;
  made.setAttribute("aria-pressed", String(own));
  row.append(made);
  if (own) row.append(tools(label, what));
  return row;
}

function showOrder() {
  shelf.replaceChildren(...order.sections.map((section) => {
    const row = entry(titleOf(section), { section: section.name });
    if (section.fault) row.append(section.fault);
    const items = document.createElement("ol");
    items.append(...section.items.map((item, index) => entry(item.title, { section: section.name, item: index })));
    row.append(items);
    return row;
  }));
  const lists = [];
  if (order.aside.length || order.loose.length) {
    const head = document.createElement("p");
    head.className = "quiet";
    head.textContent = "In the folder, and not in the book:";
    lists.push(head);
  }
  const list = document.createElement("ul");
  for (const name of order.aside) {
    const row = document.createElement("li");
    row.append(`Section ${name} `, button("Put it in", () => change(
      { said: `the section ${name} into the book`, base: order.base, do: "list-section", section: name },
      `${name} is the last section now.`,
    )));
    row.lastChild.setAttribute("aria-label", `Put the section ${name} into the book`);
    list.append(row);
  }
  for (const file of order.loose) {
    const row = document.createElement("li");
    const into = held ? held.section : (order.sections[0] || {}).name;
    if (!into) continue;
    const title = titleOf(sectionOf(into));
    row.append(`Piece ${file} `, button(`Add it to ${title}`, () => change(
      { said: `${file} in ${title}`, base: sectionOf(into).base, do: "new-item", section: into, kind: "solo", keys: [["file", file]] },
      `${file} is at the end of ${title}.`,
    )));
    row.lastChild.setAttribute("aria-label", `Add the piece ${file} to ${title}`);
    list.append(row);
  }
  lists.push(list);
  beside.replaceChildren(...lists);
}

async function readOrder() {
  order = JSON.parse(await fragment("/order"));
  if (held && !sectionOf(held.section)) held = null;
  if (held && held.item !== undefined && !sectionOf(held.section).items[held.item]) held = null;
  const active = document.activeElement;
  const within = shelf.contains(active) || beside.contains(active);
  // A form that is being filled in stays.
  if (field("change") && field("change").dataset.begun) return;
  const does = active && active.dataset ? active.dataset.does : undefined;
  showOrder();
  if (!within) return;
  const again = does && shelf.querySelector(`[data-does="${does}"]:enabled`);
  const back = again || shelf.querySelector('.entry[aria-pressed="true"]') || shelf.querySelector(".entry");
  if (back) back.focus({ preventScroll: true });
}

/** Makes a change and says what came of it. */
async function change(edit, said, then) {
  remember();
  await make(edit);
  if (then !== undefined) held = then;
  const form = field("change");
  if (form) delete form.dataset.begun;
  await readOrder();
  tell(said);
}

function hold(what) {
  const same = held && held.section === what.section && held.item === what.item;
  const form = field("change");
  if (form) delete form.dataset.begun;
  held = same ? null : what;
  showOrder();
  const now = shelf.querySelector(`.entry[data-section="${what.section}"]` + (what.item === undefined ? ":not([data-item])" : `[data-item="${what.item}"]`));
  if (now) now.focus({ preventScroll: true });
  const page = what.item !== undefined ? sectionOf(what.section).items[what.item].page : (sectionOf(what.section).items.find((item) => item.page) || {}).page;
  const sheet = page && document.getElementById("page-" + page);
  if (same || !sheet) return;
  sheet.scrollIntoView({ block: "start" });
  const music = what.item === undefined ? null : sectionOf(what.section).items[what.item].music;
  draw(sheet).then(() => {
    const first = sheet.querySelector(`.note[data-item="${music}"]`);
    if (first) first.scrollIntoView({ block: "center" });
  }).catch(() => {});
}

function tools(label, what) {
  const box = document.createElement("div");
  box.className = "tools";
  box.setAttribute("role", "group");
  box.setAttribute("aria-label", `What can be done with ${label}`);
  const section = sectionOf(what.section);
  if (what.item === undefined) box.append(...sectionTools(label, section));
  else box.append(...itemTools(label, section, what.item));
  return box;
}

function sectionTools(label, section) {
  const at = order.sections.indexOf(section);
  const move = (to, where) => () => change(
    { said: `${label} ${where} in the book`, base: order.base, do: "move-section", section: section.name, to },
    `${label} is ${where} in the book now.`,
  );
  const earlier = button("Earlier", move(at - 1, "earlier"), "earlier");
  const later = button("Later", move(at + 1, "later"), "later");
  earlier.disabled = at === 0;
  later.disabled = at === order.sections.length - 1;
  const out = button("Take it out", () => change(
    { said: `${label} out of the book`, base: order.base, do: "take-out-section", section: section.name },
    `${label} is out of the book. Its file stays in the folder; Step back puts it in again.`,
    null,
  ), "out");
  out.disabled = order.sections.length === 1;
  const keys = () => askChange(label, ABOUT_SECTION, section.says, (given) => ({
    said: `what is said of ${label}`, base: section.base, do: "change-section", section: section.name, keys: given,
  }));
  return [earlier, later, button("Change…", keys, "change"), button("Write its text", () => writeText("section:" + section.name), "write"), out];
}

function itemTools(label, section, index) {
  const at = { section: section.name, item: index };
  const says = saying(section.items[index].says);
  const move = (to, where) => () => change(
    { said: `${label} ${where}`, base: section.base, do: "move-item", at, to },
    `${label} stands ${where} in ${titleOf(section)} now.`,
    { section: section.name, item: to },
  );
  const earlier = button("Earlier", move(index - 1, "earlier"), "earlier");
  const later = button("Later", move(index + 1, "later"), "later");
  earlier.disabled = index === 0;
  later.disabled = index === section.items.length - 1;
  const file = says.file ? ` Its file ${says.file} stays in the folder.` : "";
  const out = button("Take it out", () => change(
    { said: `${label} out of ${titleOf(section)}`, base: section.base, do: "take-out-item", at },
    `${label} is out of the book.${file} Step back puts it in again.`,
    { section: section.name },
  ), "out");
  const about = says.kind in EXERCISES ? ABOUT_EXERCISE : says.kind in PIECES ? ABOUT_PIECE : ABOUT_TEXT;
  const keys = () => askChange(label, about, section.items[index].says, (given) => ({
    said: `what ${label} is`, base: section.base, do: "change", at, keys: given,
  }));
  const made = [earlier, later, button("Change…", keys, "change")];
  if (says.kind === "text") made.push(button("Write it", () => writeText("text/" + says.file), "write"));
  made.push(out);
  const others = order.sections.filter((other) => other !== section && !other.fault);
  if (others.length) {
    const where = document.createElement("label");
    const list = document.createElement("select");
    list.dataset.does = "section";
    list.append(...others.map((other) => new Option(titleOf(other), other.name)));
    where.append("Another section ", list);
    made.push(where, button("Move it there", async () => {
      const other = sectionOf(list.value);
      const lines = await fragment(`/lines?section=${encodeURIComponent(section.name)}&item=${index}`);
      const also = [{ base: section.base, do: "take-out-item", at }];
      await change(
        { said: `${label} into ${titleOf(other)}`, base: other.base, do: "put-item", section: other.name, lines, before: null, also },
        `${label} is at the end of ${titleOf(other)} now.`,
        { section: other.name, item: other.items.length },
      );
    }, "there"));
  }
  return made;
}

/** A form of what is said, filled in as it is. */
function askChange(label, about, says, edit) {
  const old = field("change");
  if (old) old.remove();
  const own = saying(says);
  const form = document.createElement("form");
  form.id = "change";
  form.setAttribute("aria-label", `Change ${label}`);
  const boxes = [];
  for (const [key, name, how, kinds] of about) {
    const row = document.createElement("label");
    let box;
    if (Array.isArray(how)) {
      box = document.createElement("select");
      const known = how.some(([word]) => word === (own[key] || ""));
      const also = known ? [] : [[own[key], own[key]]];
      box.append(...[...how, ...also].map(([word, said]) => new Option(said, word)));
    } else if (how === "text") {
      box = document.createElement("textarea");
      box.rows = 4;
    } else {
      box = document.createElement("input");
      if (how === "number") { box.type = "number"; box.min = 20; box.max = 400; }
      if (how === "check") box.type = "checkbox";
      if (how === "needed") box.required = true;
    }
    if (how === "check") {
      box.checked = own[key] === "true";
      row.className = "check";
      row.append(box, name);
    } else {
      box.value = own[key] || "";
      row.append(name, " ", box);
    }
    box.dataset.key = key;
    if (kinds) row.dataset.for = kinds.join(" ");
    boxes.push(box);
    form.append(row);
  }
  const kind = form.querySelector('[data-key="kind"]');
  const fit = () => {
    for (const row of form.querySelectorAll("[data-for]")) {
      row.hidden = !row.dataset.for.split(" ").includes(kind.value);
      const box = row.querySelector("[data-key]");
      if (box.dataset.key === "degrees") {
        box.required = !row.hidden;
        if (box.required && !box.value) box.value = "I IV V7 I";
      }
    }
  };
  if (kind) { kind.addEventListener("change", fit); fit(); }
  const keep = document.createElement("button");
  keep.type = "submit";
  keep.textContent = "Change it";
  const leave = button("Leave it as it is", () => {
    form.remove();
    const back = shelf.querySelector('[data-does="change"]');
    if (back) back.focus();
  });
  const row = document.createElement("div");
  row.className = "tools";
  row.append(keep, leave);
  form.append(row);
  form.addEventListener("input", () => { form.dataset.begun = "yes"; });
  onSubmit(form, async () => {
    const given = [];
    for (const box of boxes) {
      if (box.closest("[hidden]")) continue;
      const key = box.dataset.key;
      const now = box.type === "checkbox" ? (box.checked ? "true" : "") : box.value.trim();
      const was = own[key] || "";
      // What a table of the plan says is not shown, and not taken out.
      if (now !== was) given.push([key, now]);
    }
    if (!given.length) return "Nothing was changed.";
    remember();
    await make(edit(given));
    delete form.dataset.begun;
    form.remove();
    await readOrder();
    return `${label} is changed.`;
  });
  shelf.querySelector(".tools").append(form);
  boxes[0].focus();
}

orderPanel.addEventListener("toggle", () => { if (orderPanel.open) readOrder().catch((error) => tell(error.message)); });
document.addEventListener("turned", () => { if (orderPanel.open) readOrder().catch(() => {}); });
