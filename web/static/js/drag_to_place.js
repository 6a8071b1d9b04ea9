// Drag the card onto a place: the same as pressing the place. Works with mouse, pen and finger.
const card = document.querySelector("[data-drag]");
let over;

function placeAt(event) {
  const found = document.elementFromPoint(event.clientX, event.clientY)?.closest("li");
  return found?.querySelector("a[data-drop]") ? found : undefined;
}

function mark(place) {
  over?.classList.remove("is-over-place");
  over = place;
  over?.classList.add("is-over-place");
}

card?.classList.add("can-drag");
card?.addEventListener("pointerdown", (down) => {
  if (down.button) return;
  down.preventDefault();
  card.setPointerCapture(down.pointerId);
  card.classList.add("is-dragged"); // else the card itself lies under the pointer
  const from = [down.pageX, down.pageY];
  const move = (event) => {
    card.style.transform = `translate(${event.pageX - from[0]}px, ${event.pageY - from[1]}px)`;
    mark(placeAt(event));
  };
  const end = (event) => {
    card.removeEventListener("pointermove", move);
    card.style.transform = "";
    card.classList.remove("is-dragged");
    const place = event.type === "pointerup" ? over : undefined;
    mark(undefined);
    place?.querySelector("a[data-drop]").click();
  };
  card.addEventListener("pointermove", move);
  card.addEventListener("pointerup", end, { once: true });
  card.addEventListener("pointercancel", end, { once: true });
});
