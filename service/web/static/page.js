// Makes pages better where scripts run; every page works without them.
"use strict";
document.documentElement.classList.add("scripted");

// A page that waits for assessments asks how far they are, and shows itself anew once they are there.
(function () {
  const note = document.querySelector("[data-progress]");
  const one = document.querySelector("[data-wait-for]");
  if (!note && !one) return;
  let every = 1000;
  let revision = null;
  // What is shown only once must not vanish by itself: then the reader says when to go on.
  function arrived() {
    if (!document.querySelector("[data-shown-once]")) return location.reload();
    const link = document.createElement("a");
    link.href = location.pathname;
    link.className = "button main";
    link.textContent = "It is assessed: show where it stands";
    one.replaceChildren(link);
  }
  async function look() {
    try {
      const address = one ? one.dataset.waitFor : note.dataset.progress;
      const answer = await fetch(address, { headers: { Accept: "application/json" } });
      if (answer.ok) {
        const now = await answer.json();
        if (one) {
          const mine = now.entries[one.dataset.entry];
          if (!mine || mine.standing || now.failed.includes(one.dataset.entry)) return arrived();
        } else {
          const before = Number(note.dataset.pending);
          if (before > 0 && now.pending === 0) return location.reload();
          if (before === 0 && now.pending > 0) return location.reload();
          if (revision !== null && revision !== now.conditions_revision) return location.reload();
          revision = now.conditions_revision;
          const words = note.querySelector("[data-progress-words]");
          const bar = note.querySelector("progress");
          if (words) words.textContent = `Assessing: ${now.done} of ${now.total} entries are done.`;
          if (bar) bar.value = now.done;
          if (now.pending === 0) every = 10000;
        }
      }
    } catch (error) {
      every = Math.min(every * 2, 30000);  // out of range for a moment; try again more slowly
    }
    setTimeout(look, document.hidden ? 30000 : every);
  }
  setTimeout(look, every);
})();

// After a refused form, the list of faults comes first.
(function () {
  const faults = document.getElementById("faults");
  if (faults) faults.focus();
})();
