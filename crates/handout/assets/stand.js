"use strict";
// The music stand: how the music sounds. A page tells `source` where it has what is played and
// the sound of every string and fret; here they are set going in time. A slower tempo moves the
// strikes apart and leaves each sound as it is.

/** What a page fills in: what is struck when in an item, and a sound as the bytes of a file;
 * what it does when something is set here, and when a note begins to sound. */
const source = {
  item: async () => null,
  sound: async () => null,
  set: () => {},
  follow: () => {},
};

const part = (id) => document.getElementById(id);
const playButton = part("play");
const tempo = part("tempo");
const sounds = new Map();
let chosenNote = null;   // { item, note }; no note is the beginning
let heard = null;        // what is struck in the item
let stale = true;        // the book was changed since
let audio = null;
let run = null;          // what is being played

/** Times in seconds that are looked ahead, and between two looks. */
const AHEAD = 0.5;
const LOOK = 0.06;
/** In which time a damped string dies to a share of 1/e, as in files. */
const DAMPING = 0.022;
/** How far to the side players sit, of all the way, as in files. */
const APART = 0.35;

async function learn(item) {
  if (heard && heard.item === item && !stale) return;
  const told = await source.item(item);
  heard = told;
  heard.item = item;
  heard.from = new Map(heard.held);
  stale = false;
  part("tune").textContent = heard.title;
  seats();
  bounds();
  source.set();
}

/** When a note is struck first; the one that it is held on from, where it is. */
function struck(note) {
  if (!heard || note === null) return undefined;
  const head = heard.from.has(note) ? heard.from.get(note) : note;
  return heard.strikes.find((it) => it.note === head);
}

/** Who may be heard: the parts; of a solo, its voices. */
function seats() {
  const solo = heard.parts.length === 1;
  const melody = ["Melody", "Basses"];
  const names = solo
    ? heard.voices[0].map((voice, rank) => ({ part: 0, voice, name: heard.voices[0].length === 2 ? melody[rank] : "Voice " + voice }))
    : heard.parts.map((name, index) => ({ part: index, voice: null, name }));
  const boxes = names.map(({ part: index, voice, name }) => {
    const label = document.createElement("label");
    const box = document.createElement("input");
    box.type = "checkbox";
    box.checked = true;
    box.dataset.part = index;
    if (voice !== null) box.dataset.voice = voice;
    label.append(box, " " + name);
    return label;
  });
  part("players").hidden = names.length < 2;
  part("seats").replaceChildren(...boxes);
}

function bounds() {
  const numbers = heard.bars.map((bar) => bar.number);
  const [low, high] = [Math.min(...numbers), Math.max(...numbers)];
  for (const [id, value] of [["from-bar", low], ["to-bar", high]]) {
    const box = part(id);
    box.min = low;
    box.max = high;
    box.value = value;
  }
}

function isSilent(strike) {
  return [...part("seats").querySelectorAll("input")].some((box) => !box.checked
    && Number(box.dataset.part) === strike.part
    && (box.dataset.voice === undefined || Number(box.dataset.voice) === strike.voice));
}

async function load(names) {
  const missing = names.filter((name) => !sounds.has(name));
  let made = names.length - missing.length;
  const one = async (name) => {
    const bytes = await source.sound(name);
    if (bytes) sounds.set(name, await audio.decodeAudioData(bytes));
    made += 1;
    part("state").textContent = `Strings are tuned: ${made} of ${names.length}`;
  };
  const queue = [...missing];
  const worker = async () => { while (queue.length) await one(queue.shift()); };
  await Promise.all([worker(), worker(), worker(), worker()]);
  part("state").textContent = "";
}

/** A beat of the metronome. */
function beat(at, first) {
  const tone = audio.createOscillator();
  const gain = audio.createGain();
  tone.frequency.value = first ? 1568 : 1175;
  gain.gain.setValueAtTime(0.25, at);
  gain.gain.exponentialRampToValueAtTime(0.001, at + 0.05);
  tone.connect(gain).connect(run ? run.out : audio.destination);
  tone.start(at);
  tone.stop(at + 0.06);
}

function strike(note, at, until, out) {
  const sound = sounds.get(note.sound);
  if (!sound) return;
  const source = audio.createBufferSource();
  source.buffer = sound;
  const gain = audio.createGain();
  gain.gain.setValueAtTime(note.gain, at);
  gain.gain.setTargetAtTime(0, until, DAMPING);
  const side = audio.createStereoPanner();
  const parts = heard.parts.length;
  side.pan.value = parts > 1 ? APART * (2 * note.part / (parts - 1) - 1) : 0;
  source.connect(gain).connect(side).connect(out);
  source.start(at);
  source.stop(until + DAMPING * 10);
}

/** From where to where: all of it, bars again and again, or from the chosen note to the end. */
function range(whole) {
  const last = heard.bars[heard.bars.length - 1];
  if (whole) return { from: 0, to: last.to, again: part("again").checked };
  if (part("again").checked) {
    const [low, high] = ["from-bar", "to-bar"].map((id) => Number(part(id).value));
    const within = heard.bars.filter((bar) => bar.number >= Math.min(low, high) && bar.number <= Math.max(low, high));
    if (within.length) {
      // The first time they are played, without what comes between.
      const first = heard.bars.indexOf(within[0]);
      let end = first;
      while (heard.bars[end + 1] && within.includes(heard.bars[end + 1]) && heard.bars[end + 1].number > heard.bars[end].number) end += 1;
      return { from: heard.bars[first].from, to: heard.bars[end].to, again: true };
    }
  }
  const begin = struck(chosenNote.note);
  return { from: begin ? begin.at : 0, to: last.to, again: false };
}

async function play(whole) {
  if (run) { stop(); return; }
  if (!chosenNote) return;
  audio = audio || new AudioContext();
  const mine = run = { shown: [], timer: null, out: null };
  playButton.textContent = "Stop";
  document.dispatchEvent(new Event("begun"));
  try {
    await audio.resume();
    await learn(chosenNote.item);
    const { from, to, again } = range(whole);
    const wanted = heard.strikes.filter((it) => it.at >= from - 1e-6 && it.at < to);
    await load([...new Set(wanted.map((it) => it.sound))]);
    if (run !== mine) return;
    const out = audio.createGain();
    out.gain.value = 1.6;
    const limit = audio.createDynamicsCompressor();
    limit.threshold.value = -6;
    limit.ratio.value = 12;
    out.connect(limit).connect(audio.destination);
    Object.assign(mine, { from, to, again, wanted, out, next: 0, beats: 0 });
    mine.rate = Number(tempo.value) / 100;
    mine.begin = audio.currentTime + 0.12;
    if (part("count").checked) mine.begin = countIn(from);
    mine.marks = heard.bars.flatMap((bar) => bar.beats.map((at, rank) => ({ at, first: rank === 0 })))
      .filter((it) => it.at >= from - 1e-6 && it.at < to - 1e-6);
    mine.timer = setInterval(look, LOOK * 1000);
    look();
    requestAnimationFrame(follow);
  } catch (error) {
    stop();
    part("state").textContent = error.message;
  }
}

/** A bar of beats before the music; returns when that begins. */
function countIn(from) {
  const bar = heard.bars.find((it) => it.from <= from + 1e-6 && from < it.to) || heard.bars[0];
  const length = (bar.to - bar.from) / bar.beats.length / run.rate;
  const begin = audio.currentTime + 0.12;
  bar.beats.forEach((_, rank) => beat(begin + rank * length, rank === 0));
  return begin + bar.beats.length * length;
}

/** Sets going what comes within the time that is looked ahead. */
function look() {
  const mine = run;
  if (!mine) return;
  for (;;) {
    const when = (at) => mine.begin + (at - mine.from) / mine.rate;
    const horizon = audio.currentTime + AHEAD;
    while (mine.next < mine.wanted.length && when(mine.wanted[mine.next].at) < horizon) {
      const note = mine.wanted[mine.next++];
      const end = mine.again ? Math.min(note.until, mine.to) : note.until;
      const [at, until] = [when(note.at), when(end)];
      if (!isSilent(note)) strike(note, Math.max(at, audio.currentTime), until, mine.out);
      mine.shown.push({ note, at, until });
    }
    while (mine.beats < mine.marks.length && when(mine.marks[mine.beats].at) < horizon) {
      const mark = mine.marks[mine.beats++];
      if (part("beats").checked) beat(Math.max(when(mark.at), audio.currentTime), mark.first);
    }
    if (when(mine.to) >= horizon) return;
    if (!mine.again) {
      if (audio.currentTime > when(mine.to) + 0.6) stop();
      return;
    }
    // Once more, at the tempo that is set now.
    mine.begin = when(mine.to);
    mine.rate = Number(tempo.value) / 100;
    mine.next = mine.beats = 0;
  }
}

function stop() {
  const mine = run;
  run = null;
  playButton.textContent = "Play from here";
  part("state").textContent = "";
  if (!mine) return;
  clearInterval(mine.timer);
  if (mine.out) mine.out.gain.setTargetAtTime(0, audio.currentTime, 0.03);
  for (const note of document.querySelectorAll(".note.sounding")) note.classList.remove("sounding");
  document.dispatchEvent(new Event("ended"));
  if (chosenNote) handAt(chosenNote.note);
}

/** All of it, whatever is chosen. */
function playWhole() {
  if (run) stop();
  if (!chosenNote) return;
  chosenNote = { item: chosenNote.item, note: null };
  play(true);
}

/** Shows what sounds now, on the page and on the fingerboard. */
function follow() {
  const mine = run;
  if (!mine) return;
  const now = audio.currentTime;
  const sounding = mine.shown.filter((it) => it.at <= now && now < it.until);
  mine.shown = mine.shown.filter((it) => now < it.until);
  const heads = new Set(sounding.map((it) => heard.item + ":" + it.note.note));
  for (const note of document.querySelectorAll(".note.sounding")) {
    if (!heads.has(note.dataset.item + ":" + note.dataset.note)) note.classList.remove("sounding");
  }
  for (const it of sounding) {
    const head = document.querySelector(`.note[data-item="${heard.item}"][data-note="${it.note.note}"]`);
    if (head && !head.classList.contains("sounding")) {
      head.classList.add("sounding");
      source.follow(head);
    }
  }
  const coming = mine.shown.filter((it) => it.at > now);
  // One hand: that of the chosen note.
  const own = (struck(chosenNote.note) || { part: 0 }).part;
  const hand = (all) => all.map((it) => it.note).filter((it) => it.part === own);
  const first = coming.find((it) => it.note.part === own);
  board(hand(sounding), hand(coming.filter((it) => first && it.at === first.at)));
  requestAnimationFrame(follow);
}

// The fingerboard, to scale: frets stand at 1 − 2^(−n/12) of the string.

const SVG = "http://www.w3.org/2000/svg";
const LONG = 620;
const GAP = 26;
/** Frets that are shown at least. */
const FEWEST = 5;

function shape(name, attributes, text) {
  const node = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  if (text !== undefined) node.textContent = text;
  return node;
}

let shown = "";          // what the fingerboard shows

function board(down, next) {
  const figure = part("hand");
  if (!heard) return;
  const places = (all) => all.map((it) => [it.string, it.fret, it.finger].join(".")).join(" ");
  const now = [heard.item, heard.title, places(down), places(next)].join("|");
  if (now === shown && figure.querySelector("svg")) return;
  shown = now;
  const used = heard.strikes.map((it) => it.fret);
  const frets = Math.min(Math.max(FEWEST, ...used) + 1, heard.frets);
  const reach = 1 - 2 ** (-frets / 12);
  const along = (fret) => 44 + (LONG - 50) * (1 - 2 ** (-fret / 12)) / reach;
  const across = (string) => 18 + (string - 1) * GAP;
  const strings = heard.strings.length;
  const bottom = across(strings);
  const nodes = [];
  for (let fret = 0; fret <= frets; fret++) {
    const x = along(fret);
    nodes.push(shape("line", { class: fret ? "fret" : "nut", x1: x, x2: x, y1: across(1), y2: bottom }));
    if ([3, 5, 7, 9, 12, 15, 17].includes(fret)) {
      nodes.push(shape("text", { class: "number", x: (along(fret - 1) + x) / 2, y: bottom + 28 }, fret));
    }
  }
  for (let string = 1; string <= strings; string++) {
    const y = across(string);
    nodes.push(shape("line", { class: string > 3 ? "wound" : "string", x1: along(0), x2: along(frets), y1: y, y2: y }));
  }
  const dot = (it, kind) => {
    const y = across(it.string);
    const open = it.fret === 0;
    const x = open ? 20 : along(it.fret) - Math.min(18, (along(it.fret) - along(it.fret - 1)) / 2);
    nodes.push(shape("circle", { class: kind + (open ? " open" : ""), cx: x, cy: y, r: open ? 8 : 13 }));
    if (!open && it.finger) nodes.push(shape("text", { class: kind + " finger", x, y: y + 7 }, it.finger));
  };
  const held = new Set(down.map((it) => it.string + "." + it.fret));
  next.filter((it) => !held.has(it.string + "." + it.fret)).forEach((it) => dot(it, "coming"));
  down.forEach((it) => dot(it, "down"));
  const drawing = shape("svg", { viewBox: `0 0 ${LONG} ${bottom + 34}`, role: "img", "aria-label": told(down) });
  drawing.append(...nodes);
  figure.querySelector("svg")?.remove();
  figure.prepend(drawing);
  part("hand-said").textContent = told(down);
  figure.hidden = false;
}

function told(down) {
  const stopped = down.filter((it) => it.fret > 0).sort((a, b) => b.string - a.string);
  if (!stopped.length) return down.length ? "Open strings only." : "Nothing sounds.";
  return "Down: " + stopped.map((it) => `${it.finger ? "finger " + it.finger + ", " : ""}string ${it.string}, fret ${it.fret}`).join("; ") + ".";
}

/** The hand at a note that was chosen. */
function handAt(note) {
  const own = note === null ? heard && heard.strikes[0] : struck(note);
  if (!own) return;
  const down = heard.strikes.filter((it) => it.part === own.part && it.at <= own.at && own.at < it.until);
  const later = heard.strikes.filter((it) => it.part === own.part && it.at > own.at + 1e-6);
  board(down, later.filter((it) => it.at === later[0].at));
}

document.addEventListener("chosen", async (event) => {
  // Another piece is not played on with the places of this one.
  if (run && heard && heard.item !== event.detail.item) stop();
  chosenNote = event.detail;
  playButton.disabled = part("begin").disabled = false;
  try {
    await learn(chosenNote.item);
    if (!run) handAt(chosenNote.note);
  } catch (error) {
    part("tune").textContent = error.message;
  }
});
playButton.addEventListener("click", () => play(false));
part("begin").addEventListener("click", playWhole);
tempo.addEventListener("input", () => {
  part("tempo-said").textContent = tempo.value + " %";
  if (heard) source.set();
  if (!run || !run.wanted) return;
  // What comes next is moved; what sounds stays.
  const mine = run;
  const at = mine.from + (audio.currentTime - mine.begin) * mine.rate;
  const rate = Number(tempo.value) / 100;
  mine.begin = audio.currentTime - (at - mine.from) / rate;
  mine.rate = rate;
});
part("seats").addEventListener("change", () => { if (heard) source.set(); });
document.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && run) { event.preventDefault(); stop(); }
});
