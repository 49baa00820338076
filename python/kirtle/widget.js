// The sliders of a draft, its drawing and its numbers. All that is computed is computed in Python.

const make = (parent, tag, name, text = "") => {
  const made = parent.appendChild(document.createElement(tag));
  made.className = name;
  made.textContent = text;
  return made;
};

function addSlider(model, follow, parent, { name, label, least, most, step }) {
  const row = make(parent, "label", "kirtle-slider");
  make(row, "span", "", label);
  const input = make(row, "input", "");
  Object.assign(input, { type: "range", min: least, max: most, step, name });
  input.dataset.lmSuppressShortcuts = "true"; // Arrow keys move the slider, and not through the notebook's cells.
  const value = make(row, "output", "");
  const unit = model.get("unit");
  let nudge;
  follow(name, () => {
    input.value = model.get(name);
    value.textContent = `${model.get(name).toFixed(unit === "cm" ? 1 : 2)} ${unit}`;
  });
  input.addEventListener("input", () => {
    model.set(name, Number(input.value));
    model.save_changes();
    // The answer comes in small packets, and a server holds the next back until one is acknowledged, which a browser puts off for
    // up to 40 ms unless it has something to say.
    clearTimeout(nudge);
    nudge = setTimeout(() => model.send({}), 8);
  });
}

function showNumbers(model, table, notes) {
  table.replaceChildren();
  for (const [name, text] of Object.entries(model.get("numbers"))) {
    const row = make(table, "tr", "");
    make(row, "th", "", name).scope = "row";
    make(row, "td", "", text);
  }
  notes.replaceChildren();
  for (const message of model.get("findings")) make(notes, "li", "", message);
}

function render({ model, el }) {
  const undo = [];
  const follow = (name, show) => {
    model.on(`change:${name}`, show);
    undo.push(() => model.off(`change:${name}`, show));
    show();
  };
  el.classList.add("kirtle");
  const left = make(el, "div", "kirtle-left");
  const sliders = make(left, "div", "kirtle-sliders");
  for (const one of model.get("sliders")) addSlider(model, follow, sliders, one);
  const error = make(left, "p", "kirtle-error");
  error.setAttribute("role", "status");
  const table = make(left, "table", "kirtle-numbers");
  const notes = make(left, "ul", "kirtle-findings");
  const drawing = make(el, "div", "kirtle-drawing");
  follow("error", () => {
    error.textContent = model.get("error");
    drawing.classList.toggle("kirtle-stale", model.get("error") !== "");
  });
  follow("svg", () => (drawing.innerHTML = model.get("svg")));
  follow("numbers", () => showNumbers(model, table, notes));
  follow("findings", () => showNumbers(model, table, notes));
  return () => undo.forEach((one) => one());
}

export default { render };
