// Browser side of the widget `LiveDraft`: sliders, drawing, numbers and findings. Python computes every draft.

const append = (parent, tag, className, text = "") => {
  const child = parent.appendChild(document.createElement(tag));
  child.className = className;
  child.textContent = text;
  return child;
};

function addSlider(model, follow, parent, { name, label, min, max, step }) {
  const row = append(parent, "label", "kirtle-slider");
  append(row, "span", "", label);
  const input = append(row, "input", "");
  Object.assign(input, { type: "range", min, max, step, name });
  input.dataset.lmSuppressShortcuts = "true"; // Arrow keys move the slider instead of selecting notebook cells.
  const value = append(row, "output", "");
  const unit = model.get("unit");
  let flushTimer;
  follow(name, () => {
    input.value = model.get(name);
    value.textContent = `${model.get(name).toFixed(unit === "cm" ? 1 : 2)} ${unit}`;
  });
  input.addEventListener("input", () => {
    model.set(name, Number(input.value));
    model.save_changes();
    // The server sends small packets and waits for an acknowledgement of each, which browsers delay by up to 40 ms. An empty
    // message carries the acknowledgement at once.
    clearTimeout(flushTimer);
    flushTimer = setTimeout(() => model.send({}), 8);
  });
}

function showResults(model, table, findings) {
  table.replaceChildren();
  for (const [name, text] of Object.entries(model.get("numbers"))) {
    const row = append(table, "tr", "");
    append(row, "th", "", name).scope = "row";
    append(row, "td", "", text);
  }
  findings.replaceChildren();
  for (const message of model.get("findings")) append(findings, "li", "", message);
}

// One scale for all values of the sliders: the canvas has room for the largest drawing, at the same place.
function showDrawing(model, drawing) {
  drawing.innerHTML = model.get("svg");
  const svg = drawing.querySelector("svg");
  const { width, height } = svg.viewBox.baseVal;
  const [widest, highest] = model.get("canvas");
  svg.setAttribute("viewBox", `0 0 ${Math.max(width, widest)} ${Math.max(height, highest)}`);
}

function render({ model, el }) {
  const cleanups = [];
  const follow = (name, show) => {
    model.on(`change:${name}`, show);
    cleanups.push(() => model.off(`change:${name}`, show));
    show();
  };
  el.classList.add("kirtle");
  const left = append(el, "div", "kirtle-left");
  const sliders = append(left, "div", "kirtle-sliders");
  for (const slider of model.get("sliders")) addSlider(model, follow, sliders, slider);
  const error = append(left, "p", "kirtle-error");
  error.setAttribute("role", "status");
  const table = append(left, "table", "kirtle-numbers");
  const findings = append(left, "ul", "kirtle-findings");
  const drawing = append(el, "div", "kirtle-drawing");
  follow("error", () => {
    error.textContent = model.get("error");
    drawing.classList.toggle("kirtle-stale", model.get("error") !== "");
  });
  follow("svg", () => showDrawing(model, drawing));
  follow("numbers", () => showResults(model, table, findings));
  follow("findings", () => showResults(model, table, findings));
  return () => cleanups.forEach((cleanup) => cleanup());
}

export default { render };
