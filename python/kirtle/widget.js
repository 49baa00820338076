// Browser side of the widget `LiveDraft`: sliders, drawing, numbers and findings. Python computes every draft.

const LETTER_PIXELS = 12;
const SILENT_AFTER_MS = 5000;

const append = (parent, tag, className, text = "") => {
  const child = parent.appendChild(document.createElement(tag));
  child.className = className;
  child.textContent = text;
  return child;
};

// A slider, and a number box that also takes numbers between the steps and beyond the ends of the slider.
function addSlider({ model, follow, request }, parent, { name, label, unit, min, max, step }) {
  const row = append(parent, "label", "kirtle-slider", "");
  append(row, "span", "", label);
  const bar = append(row, "input", "");
  Object.assign(bar, { type: "range", min, max, step, name });
  const box = append(row, "input", "");
  Object.assign(box, { type: "number", step, ariaLabel: unit ? `${label} in ${unit}` : label });
  append(row, "span", "", unit);
  let flushTimer, shown;
  const move = (value) => {
    model.set(name, value);
    model.save_changes();
    // The server sends small packets and waits for an acknowledgement of each, which browsers delay by up to 40 ms. A further
    // message carries the acknowledgement at once.
    clearTimeout(flushTimer);
    flushTimer = setTimeout(() => request(), 8);
  };
  const take = () => {
    if (box.value === "") box.value = shown;
    if (box.value !== shown) move(box.valueAsNumber);
  };
  bar.addEventListener("input", () => move(bar.valueAsNumber));
  box.addEventListener("change", take);
  box.addEventListener("keydown", (event) => event.key === "Enter" && take()); // JupyterLab suppresses the change event.
  for (const input of [bar, box]) input.dataset.lmSuppressShortcuts = "true"; // Keys change the number, not the notebook's cell.
  follow(name, () => {
    bar.value = model.get(name);
    shown = box.value = String(Number(model.get(name).toFixed(3)));
    bar.setAttribute("aria-valuetext", `${shown} ${unit}`);
  });
}

function showResults(model, table, findings) {
  table.replaceChildren();
  append(table, "caption", "", "Main lengths of the draft");
  for (const [name, text] of Object.entries(model.get("numbers"))) {
    const row = append(table, "tr", "");
    append(row, "th", "", name).scope = "row";
    append(row, "td", "", text);
  }
  findings.replaceChildren();
  for (const message of model.get("findings")) append(findings, "li", "", message);
}

// Letters have the same size at any scale of the drawing.
function fitLetters(drawing) {
  const scale = drawing.querySelector("svg")?.getScreenCTM()?.a;
  if (scale) drawing.style.setProperty("--kirtle-letter", `${LETTER_PIXELS / scale}px`);
}

function download({ file, type }, [content]) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([content], { type }));
  link.download = file;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}

// Sends requests to the kernel and receives its answers. The controls are disabled while no kernel answers. A still picture of the
// draft in the page, as in a saved notebook, is shown instead of the widget until the first answer.
function connect(model, { root, controls, silence }) {
  const still = `.${model.get("still")}`;
  const hideStill = append(root, "style", "");
  let silent;
  const request = (action) => {
    clearTimeout(silent);
    silent = setTimeout(() => {
      controls.disabled = true;
      silence.textContent = "No kernel answers: this is the draft as last seen. Start the kernel to redraw.";
    }, SILENT_AFTER_MS);
    model.send({ action });
  };
  const receive = (content, buffers) => {
    clearTimeout(silent);
    controls.disabled = root.hidden = false;
    silence.textContent = "";
    hideStill.textContent = `${still} { display: none; }`;
    if (content.file) download(content, buffers);
  };
  controls.disabled = true;
  root.hidden = document.querySelector(still) !== null;
  model.on("msg:custom", receive);
  request();
  return [request, () => (clearTimeout(silent), model.off("msg:custom", receive))];
}

function addButtons(model, parent, request, call) {
  const button = (text, title, press) =>
    Object.assign(append(parent, "button", "", text), { type: "button", title, ariaLabel: title, onclick: press });
  button("Reset", "Reset to the starting draft", () => request("reset"));
  button("SVG", "SVG of the draft", () => request("svg"));
  button("PDF", "PDF of the pattern", () => request("pdf"));
  button("Python", "Python code of the draft", () => {
    call.hidden = !call.hidden;
    if (!call.hidden) navigator.clipboard?.writeText(call.textContent).catch(() => {}); // The page may forbid it.
  });
}

function render({ model, el }) {
  const cleanups = [];
  const follow = (name, show) => {
    model.on(`change:${name}`, show);
    cleanups.push(() => model.off(`change:${name}`, show));
    show();
  };
  el.classList.add("kirtle");
  const root = append(el, "div", "kirtle-live");
  const controls = append(root, "fieldset", "kirtle-controls");
  const sliders = append(controls, "div", "kirtle-sliders");
  const buttons = append(controls, "div", "kirtle-buttons");
  const figure = append(root, "figure", "kirtle-figure");
  const drawing = append(figure, "div", "kirtle-drawing");
  append(figure, "figcaption", "", `Lengths in ${model.get("unit") === "in" ? "inches" : "cm"}. Dotted: the starting draft.`);
  const results = append(root, "div", "kirtle-results");
  const status = append(controls, "div", "kirtle-status");
  status.setAttribute("role", "status");
  const silence = append(status, "p", "");
  const error = append(status, "p", "kirtle-error");
  const call = append(results, "pre", "kirtle-call");
  call.hidden = true;
  const table = append(results, "table", "kirtle-numbers");
  const findings = append(results, "ul", "kirtle-findings");
  const [request, disconnect] = connect(model, { root, controls, silence });
  for (const slider of model.get("sliders")) addSlider({ model, follow, request }, sliders, slider);
  addButtons(model, buttons, request, call);
  follow("error", () => {
    error.textContent = model.get("error") && `${model.get("error")}\nThe drawing shows the last valid draft.`;
    drawing.classList.toggle("kirtle-stale", model.get("error") !== "");
  });
  let settled;
  follow("svg", () => {
    drawing.innerHTML = model.get("svg");
    fitLetters(drawing);
  });
  const settle = () => {
    clearTimeout(settled);
    settled = setTimeout(() => request("still"), 1000);
  };
  model.on("change:svg", settle);
  follow("call", () => (call.textContent = model.get("call")));
  follow("numbers", () => showResults(model, table, findings));
  follow("findings", () => showResults(model, table, findings));
  const resized = new ResizeObserver(() => fitLetters(drawing));
  resized.observe(drawing);
  cleanups.push(disconnect, () => model.off("change:svg", settle), () => resized.disconnect(), () => clearTimeout(settled));
  return () => cleanups.forEach((cleanup) => cleanup());
}

export default { render };
