/* Films get a player, folds open for print, and what is wider than the page can be reached by keyboard. */
"use strict";
const still = matchMedia("(prefers-reduced-motion: reduce)");

function player(film) {
  const frames = [...film.querySelectorAll(".frame")];
  if (frames.length < 2) return;
  const turns = film.dataset.turns === "yes", last = frames.length - 1;
  let now = Number(film.dataset.start), step = 1, clock = 0;

  const bar = document.createElement("div"), play = document.createElement("button");
  const label = document.createElement("label"), slider = document.createElement("input");
  const reading = document.createElement("output");
  bar.className = "player";
  play.type = "button";
  slider.type = "range";
  slider.max = last;
  label.append(film.dataset.control, slider);
  bar.append(play, label, reading);
  film.querySelector(".frames").after(bar);
  film.classList.add("plays");

  function show(number) {
    frames[now].classList.remove("now");
    now = number;
    frames[now].classList.add("now");
    const text = frames[now].querySelector("figcaption").textContent;
    slider.value = now;
    slider.setAttribute("aria-valuetext", text);
    reading.textContent = text;
  }
  function pause() {
    clearInterval(clock);
    clock = 0;
    play.textContent = "Play";
  }
  function tick() {
    if (turns) return show(now >= last ? 1 : now + 1);
    if (now + step > last || now + step < 0) step = -step;
    show(now + step);
  }
  function fetchAll() {
    frames.forEach(frame => { frame.querySelector("img").loading = "eager"; });
  }
  play.addEventListener("click", () => {
    fetchAll();
    if (clock) return pause();
    play.textContent = "Pause";
    clock = setInterval(tick, 125);
  });
  slider.addEventListener("input", () => { fetchAll(); pause(); show(Number(slider.value)); });
  document.addEventListener("visibilitychange", pause);
  still.addEventListener("change", pause);
  pause();
  show(now);
}

function reach() {
  for (const box of document.querySelectorAll(".scroll, .formula, .picture, .frames")) {
    const wide = box.scrollWidth > box.clientWidth + 1;
    if (wide) {
      box.tabIndex = 0;
      box.setAttribute("role", "group");
      const what = box.matches(".scroll") ? "table" : box.matches(".formula") ? "formula" : "picture";
      box.setAttribute("aria-label", `Wide ${what}, scrolls sideways`);
    } else {
      ["tabindex", "role", "aria-label"].forEach(name => box.removeAttribute(name));
    }
  }
}

let opened = [];
addEventListener("beforeprint", () => {
  opened = [...document.querySelectorAll("details:not([open])")];
  opened.forEach(fold => { fold.open = true; });
});
addEventListener("afterprint", () => opened.forEach(fold => { fold.open = false; }));
document.querySelectorAll(".film").forEach(player);
reach();
["resize", "load", "toggle"].forEach(event => addEventListener(event, reach, true));  // late pictures, opened folds
document.addEventListener("load", reach, true);  // each picture that arrives later
document.addEventListener("toggle", reach, true);
