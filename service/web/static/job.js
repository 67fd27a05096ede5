// Follows long work on a page, and shows the page anew once it is done, refused, or gone.
"use strict";
(function () {
  const notes = [...document.querySelectorAll("[data-job]")];
  if (!notes.length) return;
  let every = 1000;
  function said(now) {
    if (now.state === "waiting") {
      if (!now.ahead) return "Waiting.";
      return `Waiting for ${now.ahead} ${now.ahead === 1 ? "piece" : "pieces"} of work before it.`;
    }
    if (!now.total) return "Working: begun.";
    return `Working: ${now.done} of ${now.total}${now.words ? `, ${now.words}` : ""}.`;
  }
  async function look() {
    try {
      for (const note of notes) {
        const answer = await fetch(note.dataset.job, { headers: { Accept: "application/json" } });
        if (answer.status === 404 || answer.status === 403) return location.reload();
        if (!answer.ok) continue;
        const now = await answer.json();
        if (now.state !== "waiting" && now.state !== "running") return location.reload();
        const words = note.querySelector("[data-job-words]");
        const bar = note.querySelector("progress");
        if (words && words.textContent !== said(now)) words.textContent = said(now);
        if (bar && now.total) { bar.max = now.total; bar.value = now.done; }
      }
      every = Math.min(every + 100, 3000);
    } catch (error) {
      every = Math.min(every * 2, 30000);  // out of range for a moment; try again more slowly
    }
    setTimeout(look, document.hidden ? 15000 : every);
  }
  setTimeout(look, every);
})();
