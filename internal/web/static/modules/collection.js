// The collection with modules: how many are ticked, only the questions that
// matter, and a label's code read with the camera.
import { offerScanning } from "./collection-scan.js";

const form = document.querySelector("form.many");

if (form) {
  const act = form.elements.act;
  const bar = document.createElement("p");
  bar.id = "ticked";
  bar.setAttribute("role", "status");
  const count = document.createElement("span");
  const all = button("Tick all");
  const on = button("Write for these");
  bar.append(count, all, on);
  form.querySelector(".rows").after(bar);

  const boxes = () => [...form.querySelectorAll('input[name="plant"]')];

  const show = () => {
    const ticked = boxes().filter((box) => box.checked).length;
    bar.hidden = ticked === 0;
    count.textContent = ticked === 1 ? "1 plant" : `${ticked} plants`;
    all.textContent = ticked === boxes().length ? "Tick none" : "Tick all";
    // Questions that belong to another act are in the way.
    for (const part of form.querySelectorAll("[data-for]")) part.hidden = !part.dataset.for.split(" ").includes(act.value);
  };

  all.addEventListener("click", () => {
    const every = boxes().every((box) => box.checked);
    boxes().forEach((box) => { box.checked = !every; });
    show();
  });
  on.addEventListener("click", () => {
    act.scrollIntoView({ block: "center" });
    act.focus();
  });
  form.addEventListener("change", show);
  window.addEventListener("pageshow", show); // browsers restore ticks when going back
  show();
}

// Choosing is enough: the list follows.
document.querySelectorAll(".find select").forEach((select) => select.addEventListener("change", () => select.form.requestSubmit()));

offerScanning(document.getElementById("scan"), document.getElementById("scanner"));

function button(text) {
  const one = document.createElement("button");
  one.type = "button";
  one.className = "quiet";
  one.textContent = text;
  return one;
}
