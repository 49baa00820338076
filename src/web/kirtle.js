// Kirtle in JavaScript: loads the WebAssembly module, passes texts to its functions and returns their answers.

const encoder = new TextEncoder();
const decoder = new TextDecoder();
let wasm;

export class InputError extends Error {
  constructor(json) {
    const { problems } = JSON.parse(json);
    super(problems.map((problem) => problem.message).join("\n"));
    Object.assign(this, { name: "InputError", json, problems });
  }
}

export async function load(source = new URL("kirtle.wasm", import.meta.url)) {
  const isAddress = source instanceof URL || typeof source === "string";
  const bytes = isAddress ? await fetched(source) : source;
  wasm = (await WebAssembly.instantiate(bytes)).instance.exports;
}

async function fetched(address) {
  const response = await fetch(address);
  if (!response.ok) throw new Error(`${address}: ${response.status} ${response.statusText}`);
  return response.arrayBuffer();
}

function call(name, ...texts) {
  if (!wasm) throw new Error("call await load() first");
  const run = wasm[`kirtle_${name}`];
  if (!run) throw new Error(`kirtle.wasm is built without ${name}`);
  // All are checked before one is added, so that a refused call leaves none to the next.
  for (const text of texts) {
    if (typeof text !== "string") throw new TypeError(`${text} is not a text: give JSON.stringify(...) of an object`);
  }
  for (const text of texts) {
    const bytes = encoder.encode(text);
    const address = wasm.kirtle_add_argument(bytes.length);
    new Uint8Array(wasm.memory.buffer, address, bytes.length).set(bytes);
  }
  const isAccepted = run();
  const answer = new Uint8Array(wasm.memory.buffer, wasm.kirtle_answer_address(), wasm.kirtle_answer_length()).slice();
  if (!isAccepted) throw new InputError(decoder.decode(answer));
  return answer;
}

export const draftJson = (request, texts = "{}") => decoder.decode(call("draft_json", request, texts));
export const chartJson = (request) => decoder.decode(call("chart_json", request));
export const draftSvg = (request, texts = "{}", fit = false) => decoder.decode(call("draft_svg", request, texts, fit ? "fit" : ""));
export const patternSvg = (request, texts = "{}", fit = false) => decoder.decode(call("pattern_svg", request, texts, fit ? "fit" : ""));
export const parseLength = (text, unit) => Number(decoder.decode(call("parse_length", text, unit)));
export const formatLength = (length, ruler) => decoder.decode(call("format_length", length.toFixed(6), ruler));
export const englishTexts = () => Object.fromEntries(JSON.parse(decoder.decode(call("english_texts"))));
export const version = () => decoder.decode(call("version"));
export const patternFile = (request, name, paper = "A4", texts = "{}") => call("pattern_file", request, name, paper, texts);
