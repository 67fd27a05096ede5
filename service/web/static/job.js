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
  service.keepLooking(async () => {
    for (const note of notes) {
      const now = await service.ask(note.dataset.job, [404]);  // not found: called off, or what it rested on changed
      if (!now) return 60000;
      if (now.state !== "waiting" && now.state !== "running") { location.reload(); return 60000; }
      const words = note.querySelector("[data-job-words]");
      const bar = note.querySelector("progress");
      if (words && words.textContent !== said(now)) words.textContent = said(now);
      if (bar && now.total) { bar.max = now.total; bar.value = now.done; }
    }
    every = Math.min(every + 100, 3000);
    return every;
  }, every);
})();
