// Trace a pitch on a picture. The picture stays in this browser; the form's number fields are what is
// sent, and do the same without this script. The server measures again.
import { anglesOf, areaOf, crosses, metresPerPoint, sidesOf, squared } from "./tracing_maths.js";

const MOST_BYTES = 20e6;
const MOST_POINTS = 50e6;
const DRAG_ENDS_MS = 300; // a tap that comes so soon after letting go is the end of the drag
const SVG = "http://www.w3.org/2000/svg";
const KNOWN = ["a", "b"];
const ZOOMS = ["zoom-1", "zoom-2", "zoom-4"];
const STARTS = { png: [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a], jpeg: [0xff, 0xd8, 0xff] };
const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

for (const form of document.querySelectorAll("form[data-tracing]")) start(form);

function start(form) {
  const part = form.querySelector("[data-with-script]");
  const svg = part.querySelector("svg");
  const canvas = part.querySelector("canvas");
  const told = part.querySelector("[data-told]");
  const fault = part.querySelector("#picture-fault");
  const corners = [...form.querySelectorAll("[name^=corner_][name$=_x]")].map((field) => field.name.slice(0, -2));
  let chosen = null;
  let letGoAt = -Infinity;
  part.hidden = false;

  const fields = (stem) => ["x", "y"].map((axis) => form.elements[`${stem}_${axis}`]);
  const number = (text) => (text.trim() === "" ? NaN : Number(text.trim().replace(",", ".")));
  const read = (stem) => {
    const spot = fields(stem).map((field) => number(field.value));
    return spot.every(Number.isFinite) ? spot : null;
  };
  const write = (stem, spot) => fields(stem).forEach((field, n) => {
    field.value = spot ? String(Math.round(spot[n] * 10) / 10) : "";
  });
  const marked = () => corners.filter((stem) => read(stem));
  const size = () => [svg.viewBox.baseVal.width, svg.viewBox.baseVal.height];

  function draw() {
    const stems = marked();
    const spots = stems.map(read);
    const unit = size()[0] / Math.max(svg.getBoundingClientRect().width, 1); // points of the picture a pixel
    svg.replaceChildren();
    if (spots.length > 1) shape("polygon", { points: spots.map((spot) => spot.join(",")).join(" "), class: "outline" });
    const known = KNOWN.map(read);
    if (known.every(Boolean)) {
      shape("line", { x1: known[0][0], y1: known[0][1], x2: known[1][0], y2: known[1][1], class: "known" });
    }
    KNOWN.forEach((stem, n) => known[n] && handle(stem, known[n], unit, form.dataset.known.replace("{}", n + 1), "known"));
    stems.forEach((stem, n) => handle(stem, spots[n], unit, form.dataset.corner.replace("{}", n + 1), "corner", n + 1));
    tell(spots, known);
  }

  function shape(kind, values, into = svg) {
    const made = document.createElementNS(SVG, kind);
    for (const [name, value] of Object.entries(values)) made.setAttribute(name, value);
    into.append(made);
    return made;
  }

  function handle(stem, [x, y], unit, words, kind, label = "") {
    const group = shape("g", { class: `handle ${kind}`, tabindex: 0, role: "button", "aria-label": words, "data-stem": stem });
    shape("circle", { cx: x, cy: y, r: 22 * unit, class: "reach" }, group);
    shape("circle", { cx: x, cy: y, r: 7 * unit, class: "dot", "stroke-width": 2 * unit }, group);
    if (label) {
      shape("text", { x: x + 10 * unit, y: y - 10 * unit, "font-size": 16 * unit, "stroke-width": 3 * unit }, group)
        .textContent = label;
    }
    if (stem === chosen) group.focus({ preventScroll: true });
  }

  function tell(spots, known) {
    const scale = known.every(Boolean) ? metresPerPoint(...known, number(form.elements.distance.value)) : null;
    told.classList.toggle("field-fault", spots.length > 2 && crosses(spots));
    if (spots.length > 2 && crosses(spots)) told.textContent = form.dataset.crosses;
    else if (!scale) told.textContent = form.dataset.unscaled;
    else if (spots.length < 2) told.textContent = "";
    else {
      const format = new Intl.NumberFormat(document.documentElement.lang, { maximumFractionDigits: 1 });
      const angles = anglesOf(spots);
      const sides = sidesOf(spots, scale).map((metres) => form.dataset.side.replace("{}", format.format(metres)));
      const lines = spots.length === 2 ? sides.slice(0, 1) : [
        form.dataset.area.replace("{}", format.format(Math.round(areaOf(spots, scale)))),
        ...sides.map((words, n) => `${n + 1}: ${words}, ${Math.round(angles[n])}°`),
      ];
      told.textContent = lines.join(" · ");
    }
  }

  const spotAt = (event) => {
    const box = svg.getBoundingClientRect();
    const [width, height] = size();
    const at = [(event.clientX - box.left) / box.width * width, (event.clientY - box.top) / box.height * height];
    return [Math.min(Math.max(at[0], 0), width), Math.min(Math.max(at[1], 0), height)];
  };

  function mark(spot) {
    const isKnown = form.elements.marks.value === "known";
    const free = (isKnown ? KNOWN : corners).find((stem) => !read(stem));
    if (!free) return;
    write(free, spot);
    chosen = free;
    if (isKnown && KNOWN.every(read)) form.elements.marks.value = "corner";
    draw();
  }

  svg.addEventListener("click", (event) => {
    const endsDrag = performance.now() - letGoAt < DRAG_ENDS_MS;
    if (!endsDrag && !event.target.closest(".handle")) mark(spotAt(event));
  });
  svg.addEventListener("pointerdown", (event) => {
    const stem = event.target.closest(".handle")?.dataset.stem;
    if (!stem) return;
    event.preventDefault();
    chosen = stem;
    svg.setPointerCapture(event.pointerId);
    const move = (moved) => { write(stem, spotAt(moved)); draw(); };
    const end = () => {
      svg.removeEventListener("pointermove", move);
      svg.removeEventListener("pointerup", end);
      svg.removeEventListener("pointercancel", end);
      letGoAt = performance.now();
    };
    svg.addEventListener("pointermove", move);
    svg.addEventListener("pointerup", end);
    svg.addEventListener("pointercancel", end);
    draw();
  });
  svg.addEventListener("focusin", (event) => { chosen = event.target.closest(".handle")?.dataset.stem ?? chosen; });
  svg.addEventListener("keydown", (event) => {
    const stem = event.target.closest(".handle")?.dataset.stem;
    if (!stem) return;
    if (STEPS[event.key]) {
      const by = event.shiftKey ? 10 : 1;
      write(stem, read(stem).map((value, n) => value + STEPS[event.key][n] * by));
    } else if (event.key === "Delete" || event.key === "Backspace") {
      takeOut(stem);
    } else return;
    event.preventDefault();
    chosen = stem;
    draw();
  });

  function takeOut(stem) {
    if (KNOWN.includes(stem)) return write(stem, null);
    const left = marked().filter((other) => other !== stem).map(read);
    corners.forEach((other, n) => write(other, left[n] ?? null));
  }

  const does = {
    larger: () => zoom(1),
    smaller: () => zoom(-1),
    square: () => squared(marked().map(read)).forEach((spot, n) => write(marked()[n], spot)),
    back: () => takeOut(marked().at(-1) ?? corners[0]),
  };
  function zoom(by) {
    const sheet = part.querySelector(".tracing-sheet");
    const now = ZOOMS.findIndex((name) => sheet.classList.contains(name));
    const next = Math.min(Math.max(now + by, 0), ZOOMS.length - 1);
    sheet.classList.replace(ZOOMS[now], ZOOMS[next]);
  }
  part.addEventListener("click", (event) => {
    const what = event.target.closest("[data-do]")?.dataset.do;
    if (!what) return;
    does[what]();
    chosen = null;
    draw();
  });
  form.addEventListener("input", (event) => {
    if (event.target.id === "field-picture") return;
    chosen = null;
    draw();
  });

  part.querySelector("#field-picture").addEventListener("change", async (event) => {
    const [file] = event.target.files;
    if (!file) return;
    const problem = await show(file);
    fault.hidden = !problem;
    fault.textContent = problem ? form.dataset[problem] : "";
    if (problem) event.target.value = "";
  });

  async function show(file) {
    if (file.size > MOST_BYTES) return "large";
    const head = new Uint8Array(await file.slice(0, 8).arrayBuffer());
    if (!Object.values(STARTS).some((start) => start.every((byte, n) => head[n] === byte))) return "kind";
    let picture;
    try {
      picture = await createImageBitmap(file);
    } catch {
      return "broken";
    }
    if (picture.width * picture.height > MOST_POINTS) return "large";
    canvas.width = picture.width;
    canvas.height = picture.height;
    canvas.getContext("2d").drawImage(picture, 0, 0);
    picture.close();
    svg.setAttribute("viewBox", `0 0 ${canvas.width} ${canvas.height}`);
    draw();
    return null;
  }

  addEventListener("resize", draw);
  draw();
}
