/** One error in a request, by the schema `error`. Lengths are in `unit`. */
export interface Problem {
  /** Kind of the error, such as `below_minimum`. */
  code: string;
  /** Path of the wrong field, such as `body.waist`. */
  field: string;
  /** Given value. */
  value: number | string | null;
  /** Limit that the value breaks, or what is accepted instead. */
  limit: number | string | null;
  /** Unit of `value` and `limit`. */
  unit: string | null;
  /** Smallest and largest valid number in `unit`, if the field has a range. */
  minimum?: number;
  maximum?: number;
  /** Valid texts or field names, if only those of a list are valid. */
  choices?: string[];
  /** The error as a sentence in English, without the path of the field. */
  text: string;
  /** Path of the field, a colon, and `text`. */
  message: string;
}

/** Thrown for a request that is refused: all its errors at once; `message` has a line for each. */
export class InputError extends Error {
  readonly problems: Problem[];
  /** The errors as a JSON document by the schema `error`. */
  readonly json: string;
}

/** Loads the WebAssembly module once, before any other call: by default from `kirtle.wasm` beside this file, else from an
 * address or from its bytes (in Node, read the file). */
export function load(source?: URL | string | BufferSource): Promise<void>;

/** Drafts a request (schema `request`) and returns the result (schema `result`), both in JSON. Its cautions are worded with `texts`
 * (schema `texts`, in JSON). */
export function draftJson(request: string, texts?: string): string;

/** Answers a request on a chart of sizes (schema `chart`) with the report (schema `sizes`), both in JSON. */
export function chartJson(request: string): string;

/** Drafts a request in JSON and returns the drawing of the draft as SVG, in true size; with `fit` it fills the width of its container.
 * `texts` (schema `texts`, in JSON) are printed instead of the English ones. */
export function draftSvg(request: string, texts?: string, fit?: boolean): string;

/** Makes the pattern of a request in JSON and returns its drawing as SVG; `texts` and `fit` are as in `draftSvg`. */
export function patternSvg(request: string, texts?: string, fit?: boolean): string;

/** Returns the length that a text gives as it is read from a tape, in `unit`: `29.5`, `29 1/2`, `29½`, `75 cm`. */
export function parseLength(text: string, unit: "cm" | "in"): number;

/** Formats a length in the unit of a ruler, rounded to its step: to the millimetre, to 1/16 in or to 1/8 in. */
export function formatLength(length: number, ruler: "cm" | "in" | "in 1/8"): string;

/** Returns the English texts, for a translator to start from: a template for each key. */
export function englishTexts(): Record<string, string>;

/** Returns the version of Kirtle, to be stored with requests; results have it as `engine`. */
export function version(): string;

/** Makes the pattern of a request in JSON and returns the bytes of a file in the format that `name` ends with: `.pdf`, `.svg`,
 * `.dxf` or `.json`. A PDF is laid out on `paper`: `A4` (the default) to `A0`, `Letter`, `Legal`, `Tabloid`, `60 x 80 cm`, `roll 90 cm`.
 * `texts` are as in `draftSvg`. */
export function patternFile(request: string, name: string, paper?: string, texts?: string): Uint8Array<ArrayBuffer>;
