"use strict";
// The open book is heard: the server says what is struck when, and gives the sounds.

source.item = async (item) => {
  const answer = await fetch(`/listen?item=${item}`);
  if (!answer.ok) throw new Error(await answer.text());
  return answer.json();
};
source.sound = async (name) => {
  const answer = await fetch("/sound/" + name);
  return answer.ok ? answer.arrayBuffer() : null;
};
source.set = files;

/** Links to files of what is heard as it is set here. */
function files() {
  const silent = [...part("seats").querySelectorAll("input")].filter((box) => !box.checked);
  const parts = heard.parts.map((_, index) => index)
    .filter((index) => !silent.some((box) => box.dataset.voice === undefined && Number(box.dataset.part) === index));
  for (const link of part("take-away").querySelectorAll("a")) {
    link.href = `/music?item=${heard.item}&ending=${link.dataset.ending}&tempo=${tempo.value}&parts=${parts.join(",")}`;
  }
}

/** One sound by itself, of a way that may be taken. */
async function tryOut(name) {
  audio = audio || new AudioContext();
  await audio.resume();
  await load([name]);
  const out = audio.createGain();
  out.gain.value = 1.6;
  out.connect(audio.destination);
  if (sounds.has(name)) strike({ sound: name, gain: 1, part: 0 }, audio.currentTime + 0.02, audio.currentTime + 1.5, out);
}

document.addEventListener("turned", () => {
  stale = true;
  if (chosenNote) learn(chosenNote.item).then(() => { if (!run) handAt(chosenNote.note); }).catch(() => {});
});
document.getElementById("card").addEventListener("click", (event) => {
  const button = event.target.closest("[data-hear]");
  if (button) tryOut(button.dataset.hear);
});
