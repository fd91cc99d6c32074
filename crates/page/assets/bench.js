// The bench page with a hand on it: keys on the screen, readings and photos sent without loading the page anew, and kept
// while the connection is gone.
// Every form works without this. Nothing here reckons, and no figure is written that nobody typed.
"use strict";
(() => {
  const PATIENCE = 8000; // ms a reading may take to be answered before it counts as not sent
  const OF_PHOTO = 180000; // ms a photo may take over a slow network; the server waits no longer
  const LARGEST = 25 * 1024 * 1024; // bytes of a photo the server takes
  const AGAIN = 2000; // ms between attempts to send what waits
  document.documentElement.classList.add("script");
  const one = (selector, within = document) => within.querySelector(selector);
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const slug = one("main#bench").dataset.slug;
  const MINUS = "\u2212";

  // ---- one key for one reading, made here: the same reading sent twice is there once
  function key() {
    if (crypto.randomUUID) return crypto.randomUUID(); // only where the page came over a safe connection
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  }

  // ---- the field and its keys
  const field = () => one("#shown"), unit = () => one("select.u");
  function written() {
    const shown = field();
    if (!shown) return;
    shown.classList.toggle("long", shown.value.length > 5);
    const amount = one("#amount"), of = unit()?.value ?? one("#entry .field span.u")?.textContent ?? "";
    if (amount) amount.textContent = shown.value ? ` ${shown.value}${/\d$/.test(shown.value) ? " " + of : ""}` : "";
    const list = unit(), other = one("[data-key=unit]");
    if (list && other) other.textContent = list.options[(list.selectedIndex + 1) % list.options.length].value;
  }
  function press(name) {
    const shown = field(), list = unit();
    if (!shown) return;
    const text = shown.value === "OL" ? "" : shown.value;
    if (name === "back") shown.value = shown.value === "OL" ? "" : text.slice(0, -1);
    else if (name === "clear") shown.value = "";
    else if (name === "over") shown.value = "OL";
    else if (name === "unit") { if (list) list.selectedIndex = (list.selectedIndex + 1) % list.options.length; }
    else if (name === "-") shown.value = text.startsWith(MINUS) ? text.slice(1) : MINUS + text;
    else if (name === "." || name === ",") { if (!/[.,]/.test(text)) shown.value = (/\d$/.test(text) ? text : text + "0") + name; }
    else shown.value = text + name;
    written();
  }

  function ready() {
    const shown = field();
    // The keys are on the page: the telephone's own keyboard would cover them. A real keyboard still types.
    if (shown) { shown.inputMode = "none"; if (matchMedia("(hover: hover)").matches || document.activeElement === document.body) shown.focus({ preventScroll: true }); }
    written();
    mark();
  }

  // ---- what was typed or taken but not sent
  const waiting = [], photos = [];
  let sending = false, gone = false, stuck = false, refused = "";
  let shooting = false, sent = null; // a camera is open: what it takes must find its place again; the reading that waited and was sent last
  let recording = false, missed = false; // a reading is on its way; news came meanwhile
  let trouble = ""; // why the program could not write
  const nothingWaits = () => waiting.length === 0 && photos.length === 0;
  function told() {
    const taken = photos.length + waiting.filter((reading) => reading.photo).length, pictures = `${taken} ${taken === 1 ? "photo" : "photos"}`;
    const note = one("#unsent"), readings = taken === 0 ? String(waiting.length) : `${waiting.length} ${waiting.length === 1 ? "reading" : "readings"}`, list = [waiting.length > 0 ? readings : "", taken > 0 ? pictures : ""].filter(Boolean);
    let words = refused;
    if (trouble && !nothingWaits()) words = `Not written, ${list.join(" and ")}: ${trouble}. Kept only while this page stays open, and tried again until it is written.`;
    else if (waiting.length > 0 || (photos.length > 0 && (gone || stuck))) words = `Not yet sent: ${list.join(" and ")}. Kept only while this page stays open; sent once when the connection returns.${waiting.length > 0 ? " No verdict until then." : ""}`;
    else if (photos.length > 0) words = `On its way: ${pictures}. Keep this page open.`;
    else if (gone) words = "The program does not answer. What you record is kept only while this page stays open, and sent when it returns.";
    note.hidden = words === "";
    if (note.textContent !== words) note.textContent = words;
    // The display still shows what was read last.
    const offer = one("#unsent-photo"), last = waiting.at(-1);
    if (offer) { offer.hidden = !last; one("label", offer).textContent = last?.photo ? "photo taken" : "photo of display"; }
  }
  addEventListener("beforeunload", (event) => { if (!nothingWaits()) event.preventDefault(); });

  /** Sends a form: its page, or null where it did not arrive for certain. */
  async function send(to, body, patience) {
    try {
      const answer = await fetch(`/find/${slug}/bench/${to}`, { method: "POST", body, signal: AbortSignal.timeout(patience) });
      const not = answer.status === 422 || answer.status === 413;
      // A page that asks who is there took nothing.
      if (!not && !(answer.ok && new URL(answer.url).searchParams.has("said"))) { trouble = answer.status >= 500 ? one("#trouble", new DOMParser().parseFromString(await answer.text(), "text/html"))?.textContent.replace(/^.*?: /, "") ?? "" : ""; return null; }
      trouble = "";
      return { refused: not, url: answer.url, text: await answer.text() };
    } catch (error) { trouble = ""; return null; }
  }
  const sendReading = (fields) => send("reading", new URLSearchParams(fields), PATIENCE);

  async function flush() {
    if (sending || waiting.length === 0) return;
    sending = true;
    while (waiting.length > 0) {
      const answer = await sendReading(waiting[0].fields);
      if (!answer) break;
      const { fields, photo } = waiting.shift(), number = answer.refused ? null : new URL(answer.url).searchParams.get("said");
      sent = number && { number, fields };
      if (photo && number) queue(photo, number, fields);
      else if (photo) refused = "A reading was refused, and its photo not kept.";
      told();
      if (answer.refused) { show(answer.text); break; }
      if (waiting.length === 0) { if (shooting || (field() && field().value !== "")) refresh(); else show(answer.text, answer.url); }
    }
    sending = false;
    told();
  }

  // ---- photos go beside the readings: no reading waits for a picture
  let picturing = false;
  async function flushPhotos() {
    if (picturing || photos.length === 0) return;
    picturing = true;
    while (photos.length > 0) {
      const { fields, number } = photos[0], answer = await send("photo", fields, OF_PHOTO);
      stuck = !answer;
      if (stuck) break;
      photos.shift();
      const here = one("#display [name=number]")?.value === number;
      if (answer.refused) refused = `The photo of reading ${number} was not kept.`;
      if (here && !shooting) show(answer.text, answer.refused ? null : answer.url, false);
      if (!answer.refused) say(`Photo of reading ${number} kept.`); else if (!here) say(refused);
    }
    picturing = false;
    told();
  }
  /** Keeps a photo of a reading that has its number, with setup and instrument as they were, until it is sent. */
  function queue(photo, number, of) {
    const from = new Map(of), fields = new FormData();
    for (const name of ["setup", "instrument"]) fields.set(name, from.get(name) ?? "");
    Object.entries({ number, photo, key: key() }).forEach(([name, value]) => fields.set(name, value));
    photos.push({ fields, number });
    flushPhotos();
  }
  function taken(input) {
    const file = input.files[0], form = input.form;
    shooting = false;
    if (!file) return;
    refused = file.size > LARGEST ? "The photo is larger than 25 MiB and was not kept; take it with fewer pixels." : "";
    if (refused !== "") say(refused);
    else if (form) { const of = new FormData(form); queue(file, of.get("number"), of); }
    else if (waiting.length > 0) waiting.at(-1).photo = file;
    else if (sent) queue(file, sent.number, sent.fields); // its reading went while the camera was open
    else { refused = "The reading was refused, and its photo not kept."; say(refused); }
    input.value = "";
    told();
  }

  setInterval(() => { flush(); flushPhotos(); }, AGAIN);
  addEventListener("online", () => { flush(); flushPhotos(); });
  document.addEventListener("gone", () => { gone = true; told(); });
  document.addEventListener("back", () => { gone = false; told(); flush(); flushPhotos(); });

  async function record(form, submitter) {
    const fields = [...new FormData(form, submitter)];
    const shown = fields.find(([name]) => name === "shown")?.[1].trim() ?? "";
    const leads = one("#leads");
    if (shown === "") { say("Type what the meter shows first."); field()?.focus(); return; }
    if (leads && !leads.hidden && !one("input", leads).checked) { say("Put the leads back in V first, then tick it."); one("input", leads).focus(); return; }
    form.dataset.key ??= key();
    fields.push(["key", form.dataset.key]);
    const buttons = all("button.record", form);
    if (buttons.some((button) => button.disabled)) return;
    buttons.forEach((button) => { button.disabled = true; });
    const before = one("main#bench");
    missed = false; recording = true;
    const answer = waiting.length === 0 ? await sendReading(fields) : null; // what waits longest goes first
    recording = false;
    buttons.forEach((button) => { button.disabled = false; });
    if (answer) { delete form.dataset.key; show(answer.text, answer.refused ? null : answer.url); }
    // News that came meanwhile was of this very reading, unless the answer is older.
    if (missed && before.dataset.mark !== one("main#bench").dataset.mark) refresh();
    if (answer) return;
    fields.push(["at", moment()]); // when it was read, not when it will arrive
    waiting.push({ fields, photo: null });
    delete form.dataset.key;
    lastMeasured = fields.find(([name]) => name === "measured")?.[1] ?? lastMeasured;
    if (field()) field().value = "";
    if (leads) one("input", leads).checked = false;
    due();
    written();
    told();
    say(`Kept, not yet sent: ${waiting.length}.`);
  }

  function moment() {
    const now = new Date(), two = (n) => String(n).padStart(2, "0");
    return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())} ${two(now.getHours())}:${two(now.getMinutes())}`;
  }

  // ---- leads back in V: the server says so with the page; without it, what was kept here decides
  let lastMeasured = null;
  function due() {
    const leads = one("#leads"), form = one("#entry");
    if (!leads || !form || lastMeasured === null) return;
    const next = one("[name=measured]", form).value;
    leads.hidden = !(/current$/.test(lastMeasured) && /voltage$/.test(next));
  }

  // ---- pages put in without loading anew
  const say = (words) => { const spoken = one("#spoken"); spoken.textContent = ""; setTimeout(() => { spoken.textContent = words; }, 60); };
  function show(text, url, push = true) {
    const came = new DOMParser().parseFromString(text, "text/html"), main = one("main#bench", came);
    if (!main) return false;
    lastMeasured = null;
    one("main#bench").replaceWith(document.importNode(main, true));
    document.title = came.title;
    if (url && push && url !== location.href) history.pushState(null, "", url);
    scrollTo(0, 0);
    const said = one("#said"), wrong = one("[role=alert]");
    if (said) say(said.textContent); else if (wrong) say(wrong.textContent);
    ready();
    wrong?.scrollIntoView({ block: "center" });
    return true;
  }
  async function go(url, push = true) {
    try {
      const answer = await fetch(url, { signal: AbortSignal.timeout(PATIENCE) });
      return answer.ok && show(await answer.text(), answer.url + new URL(url, location.href).hash, push);
    } catch (error) { return false; }
  }
  addEventListener("popstate", async () => { if (!(await go(location.href, false)) && nothingWaits()) location.reload(); });

  /** What others recorded: the lists and the next number change, what is being typed stays. */
  async function refresh() {
    try {
      const at = location.href;
      const answer = await fetch(at, { signal: AbortSignal.timeout(PATIENCE) });
      if (!answer.ok || location.href !== at) return; // the page went on meanwhile
      const came = new DOMParser().parseFromString(await answer.text(), "text/html");
      if (!one("main#bench", came)) return;
      const open = all("main details[open][id]").map((details) => details.id);
      const number = one("#number", came);
      if (number && one("#entry") && one("#entry", came)) one("#number").textContent = number.textContent;
      for (const part of ["#last", "#places"]) {
        const old = one(part), now = one(part, came);
        if (old && now) renew(old, document.importNode(now, true));
      }
      // Another page may have moved this meter's leads.
      const leads = one("#leads", came), form = one("#entry");
      if (leads && form && one("#leads") && lastMeasured === null && same(form, one("#entry", came))) {
        if (one("#leads").hidden !== leads.hidden) one("#leads").replaceWith(document.importNode(leads, true));
      }
      open.forEach((id) => { const details = document.getElementById(id); if (details) details.open = true; });
      mark();
      document.dispatchEvent(new Event("refreshed"));
    } catch (error) { /* the next news brings it */ }
  }
  /** Puts `now` in place of `old`, but for a place that is being chosen by hand: that stays as it is. */
  function renew(old, now) {
    const kept = one("#by-hand", old), anew = one("#by-hand", now);
    if (!kept || !anew) { old.replaceWith(now); return; }
    [...old.children].forEach((child) => { if (child !== kept) child.remove(); });
    const children = [...now.children], at = children.indexOf(anew);
    kept.before(...children.slice(0, at));
    kept.after(...children.slice(at + 1));
  }
  const same = (a, b) => ["from", "to", "measured"].every((name) => one(`[name=${name}]`, a)?.value === one(`[name=${name}]`, b)?.value);
  document.addEventListener("news", () => { if (recording) missed = true; else refresh(); });

  /** A place without the server: its words and fields are on the page already; what is said of its class holds for the setup. */
  function choose(link) {
    const form = one("#entry");
    if (!form || !one("#shown", form) || link.dataset.measured === "continuity") return false;
    const { from, to, measured, what, title, place, unit: symbol } = link.dataset;
    Object.entries({ from, to, measured, what }).forEach(([name, value]) => { one(`[name=${name}]`, form).value = value; });
    one("#title").textContent = title;
    one("#where").textContent = place;
    one("svg.meter")?.remove(); // it shows another place
    const list = unit(), old = list ?? one("#entry .field span.u");
    if (old) old.replaceWith(Object.assign(document.createElement("span"), { className: "u", textContent: symbol }));
    all("[data-key=unit]").forEach((button) => { button.disabled = true; });
    if (lastMeasured === null && one("#leads")) one("#leads").hidden = !link.dataset.leads;
    due();
    all(".spot-link").forEach((other) => other.removeAttribute("aria-current"));
    link.setAttribute("aria-current", "true");
    field().value = "";
    written();
    scrollTo(0, 0);
    return true;
  }

  // ---- the drawing: two terminals tapped are a place
  function mark() {
    const form = one("form.by-hand");
    if (!form) return;
    const chosen = ["from", "to"].map((name) => one(`[name=${name}]`, form).value);
    all(".spot").forEach((spot) => spot.setAttribute("aria-pressed", String(chosen.includes(spot.dataset.terminal))));
  }
  let first = true;
  function tap(terminal) {
    const form = one("form.by-hand"), from = one("[name=from]", form), to = one("[name=to]", form);
    if (first) { from.value = terminal; to.value = ""; first = false; mark(); return; }
    first = true;
    if (from.value === terminal) { mark(); return; }
    to.value = terminal;
    mark();
    form.requestSubmit();
  }

  document.addEventListener("cancel", () => { shooting = false; });
  document.addEventListener("click", async (event) => {
    if (event.target.matches(".take input")) { shooting = true; return; }
    const pressed = event.target.closest("[data-key]");
    if (pressed) { press(pressed.dataset.key); return; }
    const spot = event.target.closest(".spot");
    if (spot) { tap(spot.dataset.terminal); return; }
    const link = event.target.closest("main#bench a[href]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey || new URL(link.href).pathname !== `/find/${slug}/bench`) return;
    event.preventDefault();
    if (gone && link.matches(".spot-link") && choose(link)) return;
    if (await go(link.href)) return;
    if (link.matches(".spot-link") && choose(link)) return;
    if (nothingWaits()) location.href = link.href; else say("This page cannot be had while the connection is gone; what waits would be lost with this one.");
  });
  document.addEventListener("submit", async (event) => {
    const form = event.target;
    if (form.matches("#entry")) { event.preventDefault(); record(form, event.submitter); return; }
    if (form.matches("form.by-hand")) { event.preventDefault(); if (!(await go(`${form.action}?${new URLSearchParams(new FormData(form))}`)) && nothingWaits()) form.submit(); }
  });
  document.addEventListener("input", (event) => { if (event.target.matches("#shown, select.u")) written(); });
  document.addEventListener("change", (event) => { if (event.target.matches("#display-photo, #waiting-photo")) taken(event.target); else if (event.target.matches("select.u")) written(); else if (event.target.closest("form.by-hand")) mark(); });
  ready();
})();
