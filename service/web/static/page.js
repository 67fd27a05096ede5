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

// An entry's page shows itself anew once its assessment or its ruling is another one. Where somebody may be in the
// midst of ruling it says so instead: what is typed must not vanish.
(function () {
  const here = document.querySelector("[data-watch]");
  if (!here) return;
  const told = document.getElementById("moved-on");
  async function look() {
    try {
      const answer = await fetch(here.dataset.watch, { headers: { Accept: "application/json" } });
      const now = answer.ok ? (await answer.json()).entries[here.dataset.entry] : null;
      if (now) {
        const assessed = now.assessment === here.dataset.assessment;
        const ruled = (now.ruling || "") === here.dataset.ruling;
        if (!(assessed && ruled)) {
          if (!told) return location.reload();
          told.querySelector("[data-moved-words]").textContent =
            assessed ? "its ruling is another one now." : "what this rests on has changed.";
          if (told.hidden) told.hidden = false;
        }
      }
    } catch (error) { /* out of range for a moment: the next look tries again */ }
    setTimeout(look, document.hidden ? 60000 : 10000);
  }
  setTimeout(look, 10000);
})();

// Conditions grow old while a page is open: the age is kept up, and the page fetched anew once it is too great.
(function () {
  const ages = [...document.querySelectorAll("[data-age-min]")];
  if (!ages.length) return;
  const opened = Date.now();
  const busy = () => document.querySelector("[data-shown-once], form[method=post] :focus") !== null;
  function words(minutes) {
    if (minutes < 1) return "less than 1 min old";
    if (minutes < 90) return `${Math.round(minutes)} min old`;
    const hours = Math.floor(Math.round(minutes) / 60), rest = Math.round(minutes) % 60;
    return `${hours} h${rest ? ` ${rest} min` : ""} old`;
  }
  setInterval(() => {
    for (const each of ages) {
      if (!each.isConnected) continue;
      const minutes = Number(each.dataset.ageMin) + (Date.now() - opened) / 60000;
      each.querySelector("[data-age-words]").textContent = words(minutes);
      if (minutes <= Number(each.dataset.limitMin)) continue;
      each.classList.add("age-stale");
      if (!busy()) return location.reload();
    }
  }, 15000);
})();

// After a refused form, the list of faults comes first.
(function () {
  const faults = document.getElementById("faults");
  if (faults) faults.focus();
})();
