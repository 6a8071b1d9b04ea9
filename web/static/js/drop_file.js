// Drop a file onto its field, anywhere in the panel: the same as choosing it.
for (const field of document.querySelectorAll(".drop")) {
  const input = field.querySelector("input[type=file]");
  const area = field.closest("form");
  const mark = (isOver) => field.classList.toggle("is-over", isOver);
  field.querySelector(".drop-hint").hidden = false;
  area.addEventListener("dragover", (event) => {
    if (!event.dataTransfer.types.includes("Files")) return;
    event.preventDefault();
    mark(true);
  });
  area.addEventListener("dragleave", () => mark(false));
  area.addEventListener("drop", (event) => {
    mark(false);
    if (!event.dataTransfer.files.length) return;
    event.preventDefault();
    input.files = event.dataTransfer.files;
    input.focus();
  });
}
