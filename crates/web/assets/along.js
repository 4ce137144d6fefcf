"use strict";
// What is taken along: the server makes it beside everything else and tells how far it has
// come. What this window asked for is saved as soon as it is ready. Its names are its own.
{
  const along = document.getElementById("along");
  const made = document.getElementById("made");
  const opener = document.getElementById("along-open");
  const wanted = new Set();
  const rows = new Map();
  let choices = "";

  /** The name of a thing, dots, and in what form it is had: as in a table of contents. */
  function leader(said, form, order) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "leader";
    const [name, kind] = [document.createElement("span"), document.createElement("b")];
    name.textContent = said;
    kind.textContent = form;
    button.append(name, kind);
    Object.assign(button.dataset, order);
    return button;
  }

  const capital = (said) => said.charAt(0).toUpperCase() + said.slice(1);

  /** What there is to choose from in the book as it is now. What stays the same is left alone. */
  async function listChoices() {
    const text = await fragment("/along/choices");
    if (text === choices) return;
    choices = text;
    const { editions, items } = JSON.parse(text);
    document.getElementById("editions").replaceChildren(...editions.map(({ name, said }) =>
      leader(said ? capital(said) : "As it is shown here", "PDF", { what: "edition", edition: name })));
    const list = document.getElementById("along-item");
    const before = list.value;
    list.replaceChildren(...items.map(({ title, section }, index) => new Option(`${section}: ${title}`, index)));
    if (before && Number(before) < items.length) list.value = before;
    for (const button of along.querySelectorAll("#of-item button, #of-all button")) button.disabled = !items.length;
  }

  async function order(button) {
    const { what, ending, edition } = button.dataset;
    const asked = { what, ending, edition };
    if (button.closest("#of-item")) asked.item = Number(document.getElementById("along-item").value);
    const answer = await fetch("/along", {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(asked),
    });
    const told = await answer.json().catch(() => ({ message: "The program does not answer." }));
    if (!answer.ok) { tell(told.message); return; }
    wanted.add(told.id);
    // It may have been told of before.
    const row = rows.get(told.id);
    if (row && row.told.state === "ready") save(row.told);
  }

  function save({ id, file }) {
    if (!wanted.delete(id)) return;
    const link = document.createElement("a");
    link.href = `/along/${id}/file`;
    link.download = file;
    link.click();
    tell(file + " is ready.");
  }

  function size(bytes) {
    const [share, unit] = bytes < 1e6 ? [bytes / 1e3, "kB"] : [bytes / 1e6, "MB"];
    return (share < 10 && unit === "MB" ? share.toFixed(1) : Math.ceil(share)) + " " + unit;
  }

  /** What is said of something below its name. */
  function stateOf({ state, stage, bytes, fault }) {
    if (state === "waiting") return "Waits for its turn";
    if (state === "failed") return fault;
    if (state === "ready") return size(bytes);
    return stage.of ? `${stage.said}: ${stage.done}\u00a0of\u00a0${stage.of}` : stage.said + " …";
  }

  function newRow(told) {
    const row = document.createElement("li");
    row.innerHTML = '<b></b><div class="line"><p></p><span class="do"><a hidden>Save</a> <button type="button"></button></span></div><progress hidden></progress>';
    row.querySelector("b").textContent = told.title;
    row.querySelector("b").id = "made-" + told.id;
    row.querySelector("progress").setAttribute("aria-labelledby", "made-" + told.id);
    row.querySelector("a").setAttribute("aria-label", "Save " + told.file);
    row.querySelector("button").addEventListener("click", () => away(told.id));
    return row;
  }

  async function away(id) {
    wanted.delete(id);
    await fetch(`/along/${id}/away`, { method: "POST" });
  }

  function update(row, told) {
    const { state, stage } = row.told = told;
    const finished = state === "ready" || state === "failed";
    row.element.dataset.state = state;
    row.element.querySelector("p").textContent = stateOf(told);
    const bar = row.element.querySelector("progress");
    bar.hidden = state !== "making" || !stage.of;
    if (!bar.hidden) [bar.max, bar.value] = [stage.of, stage.done];
    const link = row.element.querySelector("a");
    link.hidden = state !== "ready";
    if (!link.hidden) [link.href, link.download] = [`/along/${told.id}/file`, told.file];
    const button = row.element.querySelector("button");
    button.textContent = finished ? "Put away" : "Cancel";
    button.setAttribute("aria-label", (finished ? "Put away: " : "Cancel: ") + told.title);
  }

  /** All that is made, the newest first. */
  function showMade(all) {
    for (const [id, row] of rows) {
      if (all.some((told) => told.id === id)) continue;
      if (row.element.contains(document.activeElement)) along.querySelector("summary").focus();
      row.element.remove();
      rows.delete(id);
    }
    for (const told of all) {
      const row = rows.get(told.id) || { element: newRow(told), told: {} };
      const was = row.told.state;
      update(row, told);
      if (!rows.has(told.id)) {
        rows.set(told.id, row);
        made.prepend(row.element);
      }
      if (was === told.state) continue;
      if (told.state === "ready") save(told);
      if (told.state === "failed" && wanted.delete(told.id)) tell(`${told.title}: ${told.fault}`);
    }
    document.getElementById("counter").hidden = !all.length;
    const making = all.filter((told) => told.state === "making" || told.state === "waiting").length;
    opener.querySelector("span").textContent = making ? ` · ${making} in the making` : "";
  }

  along.addEventListener("click", (event) => {
    const button = event.target.closest("button[data-what]");
    if (button) order(button).catch(() => tell("The program does not answer."));
  });
  opener.addEventListener("click", async () => {
    along.open = true;
    await listChoices().catch(() => {});
    // The margin is moved, and the pages stay where they are.
    along.querySelector("summary").focus({ preventScroll: true });
    document.getElementById("margin").scrollTop = along.offsetTop - 8;
  });
  along.addEventListener("toggle", () => { if (along.open) listChoices(); });
  document.addEventListener("turned", () => { if (along.open) listChoices(); });
  document.addEventListener("chosen", (event) => {
    const list = document.getElementById("along-item");
    if (list.options.length) list.value = event.detail.item;
  });
  // What was told before this script came is asked for.
  let told = false;
  changes.addEventListener("along", (event) => {
    told = true;
    showMade(JSON.parse(event.data));
  });
  fragment("/along").then((text) => { if (!told) showMade(JSON.parse(text)); });
}
