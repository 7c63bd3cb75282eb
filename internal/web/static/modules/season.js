// With a mouse a plant can be dragged onto a week: that fills in its form with the
// week's Saturday and sends it. Without one the form is there all the same.

const weeks = [...document.querySelectorAll("[data-week]")];

function saturday(week) {
  const day = new Date(week + "T00:00:00Z");
  day.setUTCDate(day.getUTCDate() + ((6 - day.getUTCDay()) + 7) % 7);
  return day.toISOString().slice(0, 10);
}

let carried = null;

if (matchMedia("(pointer: fine)").matches && weeks.length > 0) {
  for (const plant of document.querySelectorAll("article[data-plant]")) {
    plant.draggable = true;
    plant.addEventListener("dragstart", (event) => {
      carried = plant;
      event.dataTransfer.effectAllowed = "move";
      event.dataTransfer.setData("text/plain", plant.dataset.plant);
    });
    plant.addEventListener("dragend", () => { carried = null; });
  }
  for (const week of weeks) {
    week.addEventListener("dragover", (event) => {
      if (!carried) return;
      event.preventDefault();
      week.classList.add("target");
    });
    week.addEventListener("dragleave", () => week.classList.remove("target"));
    week.addEventListener("drop", (event) => {
      if (!carried) return;
      event.preventDefault();
      week.classList.remove("target");
      const form = carried.querySelector("form.set");
      form.elements.on.value = saturday(week.dataset.week);
      form.requestSubmit();
    });
  }
}
