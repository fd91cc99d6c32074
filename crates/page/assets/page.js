// What follows the hand. Every form on the page works without this; here values follow a dragged handle at once, a plate is answered
// while it is typed, and a place is chosen by touching two terminals on the drawing. Nothing here reckons: the server does.
"use strict";
(() => {
  const root = document.documentElement;
  root.classList.add("script");
  const one = (selector, within = document) => within.querySelector(selector);
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];

  // ---- the plate, answered while it is typed
  const PAUSE = 120; // ms: shorter than the gap between two words, longer than between two letters

  /** Asks for `make()` when `ask()` is called; at most one request at a time, and the latest question wins. */
  function asker(make, show) {
    let busy = false, again = false;
    async function ask() {
      if (busy) { again = true; return; }
      busy = true;
      try {
        const answer = await fetch(make());
        if (answer.ok && !again) await show(answer);
        else if (!answer.ok) await refuse(answer);
      } catch (error) {
        refuse(null);
      } finally {
        busy = false;
        if (again) { again = false; ask(); }
      }
    }
    return ask;
  }

  /** Says once that what is shown no longer follows. */
  async function refuse(answer) {
    const note = one("#live-refused");
    if (!note) return;
    const said = answer && answer.status === 400 ? await answer.text() : "The program does not answer; what is shown may be old.";
    note.textContent = said;
    note.hidden = false;
  }

  const plate = one("textarea#text");
  if (plate) {
    const ask = asker(() => "/plate?parts&text=" + encodeURIComponent(plate.value), async (answer) => {
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      one("#said").replaceChildren(...one("#said", page).childNodes);
    });
    let pause = 0;
    plate.addEventListener("input", () => { clearTimeout(pause); pause = setTimeout(ask, PAUSE); });
    plate.addEventListener("keydown", (event) => {
      // One line is the commonest plate: Enter answers it, as the button does; Shift+Enter makes a second line.
      if (event.key === "Enter" && !event.shiftKey && plate.form.id === "begin") { event.preventDefault(); clearTimeout(pause); ask(); }
    });
  }

  // A way to the folded form unfolds it, also where the browser does not by itself.
  all('a[href="#begin-name"]').forEach((way) => way.addEventListener("click", () => { one("details.begin").open = true; }));

  // ---- a new verdict is announced: a status that was there when the page came is not
  function announce() {
    const verdict = one("#said.said-verdict");
    if (!verdict) return;
    const words = [...verdict.childNodes];
    verdict.replaceChildren();
    setTimeout(() => verdict.replaceChildren(...words), 100);
  }
  announce();

  // ---- a place by two terminals on the drawing
  function places() {
    const add = one("form#add");
    if (!add) return;
    const from = one("[name=from]", add), to = one("[name=to]", add);
    let first = true;
    const choose = (terminal) => {
      if (![...from.options].some((option) => option.value === terminal)) return;
      if (first) { from.value = terminal; to.value = ""; } else { to.value = terminal; }
      const joined = one(first ? "#join-a" : "#join-b");
      if (joined) joined.value = terminal;
      first = !first;
      mark();
      if (first) one("[name=shown]", add).focus({ preventScroll: true });
    };
    const spots = all("#schematic button[data-terminal]");
    const mark = () => spots.forEach((spot) => spot.setAttribute("aria-pressed", String([from.value, to.value].includes(spot.dataset.terminal))));
    spots.forEach((spot) => spot.addEventListener("click", () => choose(spot.dataset.terminal)));
    [from, to].forEach((list) => list.addEventListener("change", mark));
    mark();
    add.addEventListener("submit", record);
  }
  places();

  let watchAgain = null; // set where there are charts to follow
  // ---- a reading recorded without loading the page anew: what changes comes first, the rest when that has been seen
  let recording = 0; // odd while one is on its way
  async function record(event) {
    event.preventDefault();
    const add = event.target, slug = one("main#find").dataset.slug;
    const button = one("button[type=submit]", add);
    if (button.disabled) return;
    button.disabled = true;
    recording += 1;
    let answer;
    try {
      answer = await fetch(`/find/${slug}/reading?parts`, { method: "POST", body: new URLSearchParams(new FormData(add)) });
    } catch (error) { answer = null; }
    if (!answer || (!answer.ok && answer.status !== 422)) { recording += 1; button.disabled = false; add.submit(); return; }
    const parts = await answer.text();
    recording += 1;
    put(parts);
    places();
    const said = one("#said.said-verdict"), refused = one("form#add [aria-invalid]");
    if (said) {
      const number = one("a", said).hash.replace("#reading-", "");
      history.replaceState(null, "", `/find/${slug}?said=${number}#said`);
      const words = said.cloneNode(true); // an element that comes with its words is not announced: put them into one that stands
      said.replaceChildren();
      requestAnimationFrame(() => { said.replaceChildren(...words.childNodes); document.dispatchEvent(new Event("recorded")); });
      said.scrollIntoView({ block: "nearest" });
      setTimeout(rest, 50);
    } else if (refused) { refused.focus(); }
  }

  /** Puts the spreads that came in the place of those of the same name, and new ones behind the one they follow. */
  function put(text, spare = []) {
    let last = null;
    const page = new DOMParser().parseFromString(text, "text/html"), mark = one("main", page)?.dataset.mark;
    if (mark) one("main#find").dataset.mark = mark; // what is shown now: no news to news.js
    for (const came of all("main > section", page)) {
      const name = came.getAttribute("aria-label");
      const old = all("main > section").find((section) => section.getAttribute("aria-label") === name);
      if (old && spare.includes(name)) { last = old; continue; }
      const section = document.importNode(came, true);
      if (old) old.replaceWith(section); else if (last) last.after(section);
      last = section;
      if (section.id) watch(section);
    }
  }

  async function rest() {
    const answer = await fetch(location.pathname + location.search);
    if (!answer.ok) return;
    const text = await answer.text(), shown = one("main#find").dataset.mark;
    // Where somebody else wrote meanwhile, what was shown first is old too.
    put(text, text.includes(`data-mark="${shown}"`) ? ["Plate", "Wiring", "Readings", "Add a reading", "Record"] : ["Add a reading"]);
    if (watchAgain) watchAgain();
  }

  // ---- what another page recorded stands here too, as soon as it is told (see news.js); what is being typed here is never put away for it
  const typedIn = (field) => field.type === "hidden" ? false : field.tagName === "SELECT" ? [...field.options].some((option) => option.selected !== option.defaultSelected) && field.selectedIndex > 0
    : field.type === "checkbox" || field.type === "radio" ? field.checked !== field.defaultChecked : field.type !== "range" && field.value !== field.defaultValue;
  document.addEventListener("news", async () => {
    const before = recording;
    if (before % 2) return; // its answer brings the news
    const answer = await fetch(location.pathname + location.search);
    if (!answer.ok || !one("main#find")) return;
    const text = await answer.text();
    if (recording !== before) return;
    const kept = all("main#find > section").filter((section) => all("input, select, textarea", section).some(typedIn));
    put(text, kept.map((section) => section.getAttribute("aria-label")));
    places();
    if (watchAgain) watchAgain();
    document.dispatchEvent(new Event("refreshed"));
  });

  // ---- the running head says which section is in sight
  const links = all(".head nav a");
  const inSight = new IntersectionObserver((entries) => {
    const seen = entries.filter((entry) => entry.isIntersecting).at(-1);
    if (!seen) return;
    for (const link of links) {
      if (link.hash === "#" + seen.target.id) link.setAttribute("aria-current", "true"); else link.removeAttribute("aria-current");
    }
  }, { rootMargin: "-15% 0px -80% 0px" });
  function watch(section) { if (links.some((link) => link.hash === "#" + section.id)) inSight.observe(section); }
  for (const link of links) { const section = link.hash && one(link.hash); if (section) watch(section); }

  // ---- slider, supply and load, followed live
  // What is followed may be put in anew (see `put`): it is looked up when it is wanted, and listened to from above.
  const find = one("main#find");
  if (!find) return;
  const LIVE = "form#conditions input.live", HANDLE = "input[data-follows=slider]";
  const fields = () => all(LIVE);
  const handles = () => all(HANDLE);
  const query = () => new URLSearchParams(fields().map((field) => [field.name, field.value]));
  const ask = asker(() => `/find/${find.dataset.slug}/live?${query()}`, async (answer) => {
    follow(await answer.json());
    // The charts come behind the frame that shows the values, and only while they can be seen.
    stale = true;
    requestAnimationFrame(() => setTimeout(refreshCharts));
  });
  const askCharts = asker(() => `/find/${find.dataset.slug}/travel?${query()}`, async (answer) => chart(await answer.json()));
  let stale = false, visible = false;
  function refreshCharts() {
    if (!stale || !visible) return;
    stale = false;
    askCharts();
  }
  const chartsInSight = new IntersectionObserver((entries) => { visible = entries.at(-1).isIntersecting; refreshCharts(); });
  function watchCharts() {
    chartsInSight.disconnect();
    const charts = one("#travel-chart");
    if (charts && one("svg", charts)) chartsInSight.observe(charts);
  }
  watchCharts();
  watchAgain = watchCharts;

  function moveTo(x) {
    const words = x.toFixed(2);
    for (const handle of handles()) {
      if (handle.value !== words) handle.value = words;
      const box = handle.closest(".slidebox");
      if (box) { box.style.setProperty("--x", words); one("output", box).textContent = words; }
    }
    const travel = one("#travel"), moving = one("#travel-handle");
    if (moving && travel) {
      const width = Number(travel.dataset.right) - Number(travel.dataset.left);
      moving.setAttribute("transform", `translate(${((x - Number(moving.dataset.at)) * width).toFixed(2)} 0)`);
      const number = one("#travel-number");
      if (number) number.textContent = words;
    }
    const field = one("form#conditions [name=slider]");
    if (field && document.activeElement !== field) field.value = words;
  }

  function moved() {
    const away = fields().some((field) => field.value.trim() !== field.dataset.setup);
    one("#schematic")?.classList.toggle("moved", away);
    const note = one("#moved-note"), back = one("#as-read");
    if (note) note.hidden = !away;
    if (back) back.hidden = !away;
  }

  function list(place, words) {
    if (!place) return;
    const items = [...place.children];
    if (items.length === words.length) { items.forEach((item, n) => { if (item.textContent !== words[n]) item.textContent = words[n]; }); return; }
    place.replaceChildren(...words.map((text) => { const item = document.createElement("li"); item.textContent = text; return item; }));
  }

  function follow(live) {
    const refused = one("#live-refused");
    if (refused) refused.hidden = true;
    for (const [number, words] of live.readings) {
      const place = document.getElementById("predicted-" + number);
      if (place) place.textContent = words ?? "";
    }
    const values = one("#values");
    if (values) {
      const rows = [...values.rows];
      live.values.forEach((value, n) => {
        const row = rows[n] ?? values.insertRow();
        const cells = [value.what, value.value, value.unit];
        while (row.cells.length < 3) row.append(document.createElement("td"));
        cells.forEach((text, c) => { if (row.cells[c].textContent !== text) row.cells[c].textContent = text; });
      });
      rows.slice(live.values.length).forEach((row) => row.remove());
    }
    list(one("#sentences"), live.sentences);
    list(one("#live-remarks"), live.remarks);
    document.dispatchEvent(new Event("followed"));
  }

  /** New charts under the handle; the handle itself stays, it may be held just now. */
  function chart(answer) {
    const charts = one("#travel-chart");
    if (!charts || !one("svg", charts)) return;
    const drawn = new DOMParser().parseFromString(answer.svg, "image/svg+xml").documentElement;
    one("svg", charts).replaceWith(document.importNode(drawn, true));
    const condition = one("figcaption", charts);
    if (condition) condition.textContent = answer.condition;
    all(":scope > p", charts).forEach((remark) => remark.remove());
    charts.append(...answer.remarks.map((text) => Object.assign(document.createElement("p"), { className: "small", textContent: text })));
    if (handles().length > 0) moveTo(Number(handles()[0].value));
  }

  /** The drawing as it stands with the slider where it was let go: its brush and leads move too. Handles stay, one may be held. */
  const redraw = asker(() => {
    const asked = new URLSearchParams(location.search);
    for (const [name, value] of query()) asked.set(name, value);
    return `/find/${find.dataset.slug}?${asked}`;
  }, async (answer) => {
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const drawn = one("#schematic svg", page), shown = one("#schematic svg");
    if (!drawn || !shown) return;
    shown.replaceWith(document.importNode(drawn, true));
    for (const over of [".slidebox", ".spot"]) {
      const placed = all("#schematic " + over, page);
      all("#schematic " + over).forEach((box, n) => { if (placed[n]) box.setAttribute("style", placed[n].getAttribute("style")); });
    }
    if (handles().length > 0) moveTo(Number(handles()[0].value));
  });

  document.addEventListener("input", ({ target }) => {
    if (target.matches(HANDLE)) moveTo(Number(target.value));
    else if (target.matches(LIVE)) {
      target.size = Math.max(3, target.value.length);
      const x = Number(target.value.replace(",", "."));
      if (target.name === "slider" && target.value.trim() !== "" && x >= 0 && x <= 1) moveTo(x);
    } else return;
    moved();
    ask();
  });
  document.addEventListener("change", ({ target }) => { if (target.matches(HANDLE)) redraw(); });
  document.addEventListener("keydown", (event) => {
    // A range input's own page step is a tenth of its length only by some browsers' habit.
    const handle = event.target, step = { PageUp: 0.1, PageDown: -0.1 }[event.key];
    if (step === undefined || !handle.matches(HANDLE)) return;
    event.preventDefault();
    handle.value = String(Math.min(1, Math.max(0, Number(handle.value) + step)));
    handle.dispatchEvent(new Event("input", { bubbles: true }));
    handle.dispatchEvent(new Event("change", { bubbles: true }));
  });
  document.addEventListener("submit", (event) => { if (event.target.matches("form#conditions")) { event.preventDefault(); ask(); } });
})();
