// Draws the outline anew while somebody types: the service draws, so page and sheet show the same.
"use strict";
(function () {
  const form = document.querySelector("form[data-outline]");
  if (!form) return;
  const wide = form.querySelector("[data-outline-wide]");
  const narrow = form.querySelector("[data-outline-narrow]");
  const words = form.querySelector("[data-outline-words]");
  let timer = 0;
  let asked = 0;
  async function draw() {
    const mine = ++asked;
    try {
      const answer = await fetch(form.dataset.outline, {
        method: "POST", body: new FormData(form), headers: { Accept: "application/json" },
      });
      if (!answer.ok || mine !== asked) return;
      const drawn = await answer.json();
      wide.innerHTML = drawn.wide;  // from this service, and nothing in it is typed text
      narrow.innerHTML = drawn.narrow;
      const begun = [...form.elements].some((each) => each.name.startsWith("/rocket/airframe/") && each.inputMode && each.value);
      words.textContent = begun && drawn.lacking.length ? `The outline waits for: ${drawn.lacking.join(", ")}.` : "";
    } catch (error) { /* out of range for a moment: the next key tries again */ }
  }
  form.addEventListener("input", (event) => {
    if (!/^\/(rocket|motor|own)/.test(event.target.name)) return;
    clearTimeout(timer);
    timer = setTimeout(draw, 350);
  });
})();
