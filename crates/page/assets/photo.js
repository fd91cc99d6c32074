// The page of a photo with a hand on it: a tap on the picture places the mark that is being written. The form works without this.
"use strict";
(() => {
  const picture = document.querySelector("#picture"), form = document.querySelector("form#about");
  if (!picture || !form) return;
  const places = [...form.querySelectorAll("input[name^='mark.'][name$='.at'], input[name^='mark.'][name$='.to']")];
  const field = (set, name) => form.querySelector(`[name="mark.${set.dataset.mark}.${name}"]`);
  const share = (text) => {
    const words = text.trim().replaceAll(",", ".").replaceAll("%", "").split(/\s+/).map(Number);
    return words.length === 2 && words.every((word) => word >= 0 && word <= 100) ? words : null;
  };

  let now = null; // the place a tap fills: the one last gone to, else the first that is empty
  form.addEventListener("focusin", (event) => { if (places.includes(event.target)) now = event.target; });
  const next = () => places.find((place) => place.name.endsWith(".at") && place.value === "");

  picture.addEventListener("click", (event) => {
    const box = picture.getBoundingClientRect(), target = now ?? next();
    if (!target) return;
    const per = (part, whole) => Math.round(Math.min(1, Math.max(0, part / whole)) * 1000) / 10;
    target.value = `${per(event.clientX - box.left, box.width)} ${per(event.clientY - box.top, box.height)}`;
    const words = field(target.closest("fieldset"), "words");
    if (words.value === "") words.focus({ preventScroll: true });
    now = null;
    draw();
  });

  /** The marks as the form has them, over the picture as the server draws them. */
  function draw() {
    const box = picture.getBoundingClientRect(), lines = picture.querySelector("svg.lines");
    picture.querySelectorAll(".ring, .tip").forEach((old) => old.remove());
    lines.replaceChildren();
    const put = (kind, [x, y], words, turn) => {
      const mark = Object.assign(document.createElement("span"), { className: kind, textContent: words });
      mark.style.left = `${x}%`; mark.style.top = `${y}%`;
      if (turn !== undefined) mark.style.rotate = `${turn}deg`;
      picture.append(mark);
    };
    for (const set of form.querySelectorAll("fieldset[data-mark]")) {
      const at = share(field(set, "at").value), to = share(field(set, "to").value);
      if (at && to) {
        for (const kind of ["halo", ""]) {
          const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
          path.setAttribute("class", kind);
          path.setAttribute("d", `M${at[0] / 100} ${at[1] / 100}L${to[0] / 100} ${to[1] / 100}`);
          lines.append(path);
        }
        put("tip", to, "", Math.atan2((to[1] - at[1]) * box.height, (to[0] - at[0]) * box.width) * 180 / Math.PI);
      }
      if (at) put("ring", at, String(Number(set.dataset.mark) + 1));
    }
  }
  form.addEventListener("input", (event) => { if (places.includes(event.target)) draw(); });
})();
