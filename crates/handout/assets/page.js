
// A student's page: everything is in it, and nothing is asked of anybody.

const packed = JSON.parse(part("packed").textContent);
const lesson = part("lesson");
const still = matchMedia("(prefers-reduced-motion: reduce)");

source.item = async (item) => {
  if (!packed.items[item]) throw new Error("The repeats of this piece lead nowhere, so it cannot be played.");
  return packed.items[item];
};
source.sound = async (name) => {
  const text = packed.sounds[name];
  return text ? Uint8Array.from(atob(text), (c) => c.charCodeAt(0)).buffer : null;
};
/** What sounds is kept in sight. */
source.follow = (head) => {
  // That of the hand that is shown; two staves do not pull the page to and fro.
  if (run && Number(head.dataset.part) !== (struck(chosenNote.note) || { part: 0 }).part) return;
  const box = head.getBoundingClientRect();
  const music = head.closest(".music").getBoundingClientRect();
  const low = Math.min(innerHeight, part("desk").getBoundingClientRect().top);
  const seen = box.top >= 0 && box.bottom <= low && box.left >= music.left && box.right <= music.right - 40;
  if (!seen) head.scrollIntoView({ block: "center", inline: "center", behavior: still.matches ? "auto" : "smooth" });
};

const all = [...lesson.querySelectorAll(".note")];
const itemOf = (note) => Number(note.dataset.item);
const mark = (kind, note) => {
  for (const other of lesson.querySelectorAll(".note." + kind)) other.classList.remove(kind);
  if (note) note.classList.add(kind);
};

function chosenOf(item, note) {
  document.dispatchEvent(new CustomEvent("chosen", { detail: { item, note } }));
}

function choose(note) {
  mark("chosen", note);
  for (const other of all) {
    if (other.dataset.item === note.dataset.item) other.setAttribute("tabindex", other === note ? "0" : "-1");
  }
  part("chosen").textContent = note.getAttribute("aria-label");
  chosenOf(itemOf(note), Number(note.dataset.note));
}

/** Along its own part, or to what another plays at that moment. */
function beside(note, key) {
  const own = all.filter((it) => it.dataset.item === note.dataset.item);
  const line = own.filter((it) => it.dataset.part === note.dataset.part);
  const at = line.indexOf(note);
  if (key === "ArrowRight") return line[at + 1];
  if (key === "ArrowLeft") return line[at - 1];
  if (key === "Home") return line[0];
  if (key === "End") return line[line.length - 1];
  const step = { ArrowUp: -1, ArrowDown: 1 }[key];
  const other = step && own.filter((it) => Number(it.dataset.part) === Number(note.dataset.part) + step);
  if (!other || !other.length) return undefined;
  const away = (it) => Math.abs(Number(it.dataset.at) - Number(note.dataset.at));
  return other.reduce((best, it) => (away(it) < away(best) ? it : best));
}

/** The note that is meant by a finger beside it, within so many points of the screen. */
function nearest(system, x, y) {
  let best = null;
  let least = 30;
  for (const box of system.querySelectorAll(".note rect")) {
    const { left, right, top, bottom } = box.getBoundingClientRect();
    const away = Math.hypot(Math.max(left - x, 0, x - right), Math.max(top - y, 0, y - bottom));
    if (away < least) [least, best] = [away, box.parentNode];
  }
  return best;
}

lesson.addEventListener("click", (event) => {
  const hear = event.target.closest(".hear");
  if (hear) {
    hearItem(Number(hear.dataset.item));
    return;
  }
  const system = event.target.closest(".system");
  if (!system) return;
  const note = event.target.closest(".note") || nearest(system, event.clientX, event.clientY);
  if (!note) return;
  choose(note);
  note.focus({ preventScroll: true });
});
lesson.addEventListener("keydown", (event) => {
  const note = event.target.closest(".note");
  if (!note || event.altKey || event.ctrlKey || event.metaKey) return;
  if (event.key === "Enter" || event.key === " ") {
    event.preventDefault();
    const playing = Boolean(run);
    choose(note);
    if (playing) stop();
    else play(false);
    return;
  }
  const other = beside(note, event.key);
  if (!other) return;
  event.preventDefault();
  choose(other);
  other.focus({ preventScroll: true });
  source.follow(other);
});

function hearItem(item) {
  const own = run && heard && heard.item === item;
  if (run) stop();
  if (own) return;
  mark("chosen", null);
  part("chosen").textContent = "";
  chosenOf(item, null);
  play(true);
}

document.addEventListener("begun", () => {
  const own = lesson.querySelector(`.hear[data-item="${chosenNote.item}"]`);
  if (own) own.textContent = "Stop";
});
document.addEventListener("ended", () => {
  for (const button of lesson.querySelectorAll(".hear")) button.textContent = "Play";
});

// The first note of each item can be come to; the first piece lies on the stand.
for (const music of lesson.querySelectorAll(".music")) music.querySelector(".note")?.setAttribute("tabindex", "0");
const first = packed.items.findIndex(Boolean);
if (first >= 0) chosenOf(first, null);
if (matchMedia("(max-width: 700px)").matches) part("ways").open = false;
