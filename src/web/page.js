// The page: makes a request from its input fields, drafts the request, and shows outlines, lengths and findings of the result.

import { InputError, draftJson, formatLength, load, parseLength, patternFile } from "./kirtle.js";

// Input fields by path in the request: label, initial value in cm, and for each unit minimum, maximum and step of the slider.
const FIELDS = {
  "body.waist": ["Waist", 74, { cm: [50, 150, 0.5], in: [20, 60, 0.25] }],
  "body.hip": ["Hip", 101, { cm: [76, 170, 0.5], in: [30, 67, 0.25] }],
  "body.hip_depth": ["Hip depth", 20.5, { cm: [14, 28, 0.5], in: [5.5, 11, 0.25] }],
  "body.length": ["Length", 62, { cm: [35, 110, 0.5], in: [14, 43, 0.25] }],
  "ease.waist": ["Waist", 1.5, { cm: [0, 6, 0.25], in: [0, 2.5, 0.125] }],
  "ease.hip": ["Hip", 5, { cm: [0, 12, 0.25], in: [0, 5, 0.125] }],
};
const CM_PER_IN = 2.54;
const LETTER_PIXELS = 12;
const MARGIN_CM = 1;
const GAP_CM = 5;
// Widths of both panels together, and length, up to which a skirt is drawn at one scale.
const ORDINARY_CM = [71, 85];

// Parameters of the page's address: `unit`, `name`, `preset`, `paper`, the measurements, `waist_ease` and `hip_ease`, lengths in `unit`.
const parameters = new URLSearchParams(location.search);

const byId = (id) => document.getElementById(id);
const unit = () => byId("unit").querySelector(":checked").value;
const boxes = {};

const add = (parent, tag, properties = {}) => parent.appendChild(Object.assign(document.createElement(tag), properties));

function addField(path, [label, initial]) {
  const [part, name] = path.split(".");
  const row = add(byId(part), "div", { className: "row" });
  const id = `${part}-${name}`;
  add(row, "label", { htmlFor: id, textContent: label });
  const slider = add(row, "input", { type: "range", ariaLabel: `${label}, slider` });
  const box = add(row, "input", { type: "text", id, inputMode: "decimal" });
  const unitName = add(row, "span");
  const problem = add(byId(part), "p", { className: "problem", id: `${id}-problem`, role: "status" });
  box.setAttribute("aria-describedby", problem.id);
  const text = parameters.get(part === "ease" ? `${name}_ease` : name);
  const entered = text === null ? { text: `${initial}`, unit: "cm" } : { text, unit: unit() };
  const field = { slider, box, unitName, problem, entered };
  const enter = () => ((field.entered = { text: box.value, unit: unit() }), askForRedraw());
  slider.addEventListener("input", () => ((box.value = slider.value), enter()));
  box.addEventListener("input", () => ((slider.value = numberIn(box.value)), enter()));
  boxes[path] = field;
}

// Returns the length in a text, as read from a tape, in a unit: `29.125`, `29 1/8`, `29⅛`, `74 cm`; NaN for another text.
function numberIn(text, unitName = unit()) {
  try {
    return parseLength(text, unitName);
  } catch {
    return NaN;
  }
}

// Shows every field in the chosen unit: as entered in this unit, or else converted, cm to a tenth of a millimetre, inches to a thousandth.
function showFields() {
  for (const [path, { slider, box, unitName, entered }] of Object.entries(boxes)) {
    const [min, max, step] = FIELDS[path][2][unit()];
    Object.assign(slider, { min, max, step });
    const [number, isInches] = [numberIn(entered.text, entered.unit), unit() === "in"];
    const converted = () => `${Number(isInches ? (number / CM_PER_IN).toFixed(3) : (number * CM_PER_IN).toFixed(2))}`;
    box.value = entered.unit === unit() || Number.isNaN(number) ? entered.text : converted();
    slider.value = numberIn(box.value);
    unitName.textContent = unit();
  }
  redraw();
}

function requestText() {
  // Files have lengths to the eighth, as the page does.
  const ruler = unit() === "in" ? { ruler: "in 1/8" } : {};
  const request = { unit: unit(), ...ruler, body: {}, ease: {}, cutting: { preset: byId("preset").value, name: byId("name").value.trim() } };
  for (const [path, { box }] of Object.entries(boxes)) {
    const [part, name] = path.split(".");
    const number = numberIn(box.value);
    if (box.value !== "") request[part][name] = Number.isFinite(number) ? number : box.value;
  }
  return JSON.stringify(request);
}

// Formats a length in the chosen unit as a tape measure shows it: centimetres to the millimetre, or inches to the eighth.
const lengthText = (length) => formatLength(length, unit() === "in" ? "in 1/8" : "cm");

function lengthRows({ girths, lengths, suppression, back, front }) {
  const darts = (panel) => panel.darts.map((dart) => `${lengthText(dart.intake)} wide, ${lengthText(dart.length)} long`).join("\n") || "none";
  return {
    "Waist, sewn": lengthText(girths.waist),
    "Hip and hem": lengthText(girths.hip),
    "Half the waist shaping": lengthText(suppression.total),
    "Side seam": lengthText(lengths.side),
    "Centre back": lengthText(lengths.centre_back),
    "Centre front": lengthText(lengths.centre_front),
    "Back darts": darts(back),
    "Front darts": darts(front),
  };
}

function showResults(result) {
  byId("lengths-unit").textContent = unit() === "in" ? "inches" : "cm";
  byId("lengths").replaceChildren();
  for (const [name, text] of Object.entries(lengthRows(result))) {
    const row = add(byId("lengths"), "tr");
    add(row, "th", { scope: "row", textContent: name });
    add(row, "td", { textContent: text });
  }
  const { holds, checks } = result.proof;
  byId("proof").textContent = holds ? `All ${checks.length} checks of the outlines hold.` : "A check of the outlines fails: do not cut this draft.";
  const cautions = [...result.findings, ...result.pattern.findings].map(({ message }) => message);
  // Screen readers read what changes.
  if (cautions.join("") === byId("findings").textContent) return;
  byId("findings").replaceChildren();
  for (const textContent of cautions) add(byId("findings"), "li", { textContent });
}

const pathOf = (edges) =>
  edges.map(({ points }, k) => `${k ? "" : `M${points[0]}`}${points.length === 2 ? "L" : "C"}${points.slice(1).join(" ")}`).join("");

const line = (path, colour, width, more = "") =>
  `<path d="${path}" fill="none" stroke="var(--${colour})" stroke-width="${width}" vector-effect="non-scaling-stroke" ${more}/>`;

// Returns by how many lines each dart's text is lowered, 0 or 1: 1 where the text of the next dart leaves no room.
function linesBelowDartTips({ darts }, letter) {
  const lines = [];
  for (let k = darts.length - 1; k >= 0; k--) {
    const room = (darts[k + 1]?.centre ?? Infinity) - darts[k].centre;
    lines[k] = room < 0.65 * letter * lengthText(darts[k].intake).length ? 1 - lines[k + 1] : 0;
  }
  return lines;
}

// Draws a panel with its centre line at x = `centre`; `sign` -1 mirrors the front. `hip` is the level of the hip line.
function panelSvg(panel, { name, note, centre, hip, sign, letter }) {
  const edges = (...roles) => panel.edges.filter((edge) => roles.includes(edge.role));
  const separatePaths = (...roles) => edges(...roles).map((edge) => pathOf([edge])).join("");
  const hem = panel.edges.find((edge) => edge.role === "hem").points[0][1];
  const text = (x, y, words, more = "") => `<text x="${centre + sign * x}" y="${y}" ${more}>${words}</text>`;
  const outline = `<path d="${pathOf(panel.edges)}Z" fill="var(--cloth)"/>`;
  const hipLine = line(`M0,${hip}H${panel.width}`, "pale", 1, 'stroke-dasharray="6 4"');
  const lines = line(separatePaths("dart"), "dart", 1.5) + line(separatePaths("waist", "side", "hem"), "ink", 2);
  const centreLine = line(separatePaths("centre"), "ink", 2, sign < 0 ? 'stroke-dasharray="9 4 1 4"' : "");
  const middle = [panel.width / 2, (hip + hem) / 2];
  const lowered = linesBelowDartTips(panel, letter);
  const darts = panel.darts.map(({ tip, intake }, k) => text(...tip, lengthText(intake), `dy="${1.1 + lowered[k]}em"`));
  return (
    `<g transform="translate(${centre} 0) scale(${sign} 1)">${outline}${hipLine}${lines}${centreLine}</g>` +
    text(...middle, name, 'font-weight="bold"') + text(...middle, note, 'dy="1.3em"') +
    text(panel.width / 2, hem, `hem ${lengthText(panel.seams.hem)}`, 'dy="-0.5em"') + darts.join("")
  );
}

// Returns left, top, width and height of a frame around both panels, in the chosen unit: of one size for all ordinary skirts.
function frame(panels) {
  const cm = unit() === "cm" ? 1 : 1 / CM_PER_IN;
  const points = panels.map(({ edges }) => edges.flatMap((edge) => edge.points));
  const widths = points.map((panel) => Math.max(...panel.map(([x]) => x)));
  const heights = points.flat().map(([, y]) => y);
  const top = Math.min(-MARGIN_CM * cm, ...heights) - MARGIN_CM * cm;
  const bottom = Math.max(ORDINARY_CM[1] * cm, ...heights) + MARGIN_CM * cm;
  const width = Math.max(ORDINARY_CM[0] * cm, widths[0] + widths[1]) + (GAP_CM + 2 * MARGIN_CM) * cm;
  return [-MARGIN_CM * cm, top, width, bottom - top];
}

function showDrawing({ back, front, body }) {
  const [left, top, width, height] = frame([back, front]);
  const drawing = byId("drawing");
  drawing.setAttribute("viewBox", `${left} ${top} ${width} ${height}`);
  const pixels = drawing.getBoundingClientRect();
  const scale = Math.min(pixels.width / width, pixels.height / height) || 1;
  const [letter, hip] = [LETTER_PIXELS / scale, body.hip_depth];
  drawing.style.fontSize = `${letter}px`;
  drawing.innerHTML =
    `<g text-anchor="middle" fill="var(--ink)">` +
    panelSvg(back, { name: "BACK", note: "cut 2", centre: 0, hip, sign: 1, letter }) +
    panelSvg(front, { name: "FRONT", note: "on the fold", centre: width + 2 * left, hip, sign: -1, letter }) +
    `</g>`;
  const darts = ({ darts: { length } }, name) => `${length || "no"} ${length === 1 ? "dart" : "darts"} in the ${name}`;
  byId("drawn").textContent = `Half the skirt, without allowances: ${darts(back, "back")}, ${darts(front, "front")}.`;
}

// Shows each problem below its field, and all others below the fields.
function showProblems(problems) {
  const others = problems.filter(({ field }) => !boxes[field]);
  for (const [path, { box, problem }] of Object.entries(boxes)) {
    const own = problems.filter(({ field }) => field === path).map(({ text }) => text);
    problem.textContent = own.join("\n");
    box.setAttribute("aria-invalid", own.length > 0);
  }
  byId("problems").textContent = others.map(({ message }) => message).join("\n");
  for (const id of ["figure", "before", "results"]) byId(id).classList.toggle("stale", problems.length > 0);
  for (const button of byId("form").querySelectorAll("button")) button.disabled = problems.length > 0;
}

// Returns the result of `work` and clears all problems; shows the problems of a refused request and returns undefined.
function runShowingProblems(work) {
  try {
    const result = work();
    showProblems([]);
    return result;
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    showProblems(error.problems);
    return undefined;
  }
}

// Drafts the request and shows the result; scripts of a site get each accepted request by the event `kirtle` of the window.
function redraw() {
  const request = requestText();
  const result = runShowingProblems(() => JSON.parse(draftJson(request)));
  if (!result) return;
  showDrawing(result);
  showResults(result);
  dispatchEvent(new CustomEvent("kirtle", { detail: JSON.parse(request) }));
}

// Schedules one redraw before the next frame, however many events a slider sends.
let isRedrawScheduled = false;
function askForRedraw() {
  if (isRedrawScheduled) return;
  isRedrawScheduled = true;
  requestAnimationFrame(() => ((isRedrawScheduled = false), redraw()));
}

function download(format) {
  const bytes = runShowingProblems(() => patternFile(requestText(), `skirt.${format}`, byId("paper").value));
  if (!bytes) return;
  const href = URL.createObjectURL(new Blob([bytes]));
  add(document.body, "a", { href, download: `${byId("name").value.trim() || "skirt"}.${format}` }).click();
  document.body.lastChild.remove();
  setTimeout(() => URL.revokeObjectURL(href), 10000);
}

await load();
if (parameters.get("unit") === "in") byId("unit").querySelector("[value=in]").checked = true;
for (const id of ["name", "preset", "paper"]) {
  const initial = byId(id).value;
  byId(id).value = parameters.get(id) ?? initial;
  // A choice that does not exist leaves nothing chosen.
  if (byId(id).selectedIndex === -1) byId(id).value = initial;
}
for (const [path, field] of Object.entries(FIELDS)) addField(path, field);
byId("unit").addEventListener("change", showFields);
for (const id of ["name", "preset"]) byId(id).addEventListener("input", askForRedraw);
byId("form").addEventListener("submit", (event) => event.preventDefault());
byId("form").addEventListener("click", ({ target }) => target.tagName === "BUTTON" && download(target.value));
addEventListener("resize", askForRedraw);
showFields();
