// News of a find: asks again and again, each question left open by the server until something was changed. Says "news" to the document when
// the find is another than the one shown, "gone" when the program no longer answers, "back" when it does again.
"use strict";
(() => {
  const PAUSE = 1000; // ms between attempts while nothing answers
  const LONGEST = 40000; // ms: longer than the server leaves a question open
  // Asked for anew each time: the bench puts in another page without loading it, and what was recorded here is no news here.
  const page = () => document.querySelector("main[data-slug][data-mark]");
  if (!page()) return;
  const slug = page().dataset.slug;
  let since = "", gone = false;
  const say = (what) => document.dispatchEvent(new Event(what));

  async function ask() {
    const answer = await fetch(`/find/${slug}/news?since=${since}`, { signal: AbortSignal.timeout(LONGEST), cache: "no-store", redirect: "error" });
    if (!answer.ok) throw new Error(String(answer.status));
    const said = await answer.json();
    since = said.since;
    if (gone) { gone = false; say("back"); }
    if (said.mark !== page().dataset.mark) { page().dataset.mark = said.mark; say("news"); }
  }

  (async () => {
    for (;;) {
      try { await ask(); } catch (error) {
        if (!gone) { gone = true; say("gone"); }
        since = "";
        await new Promise((then) => setTimeout(then, PAUSE));
      }
    }
  })();
})();
