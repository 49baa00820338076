// Answers the questions of a JSON file in Node: `node node.mjs PACKAGE QUESTIONS` prints the digests as JSON.

import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";
import { answers } from "./answers.mjs";

const [folder, questions] = process.argv.slice(2);
const kirtle = await import(pathToFileURL(`${folder}/kirtle.js`));
await kirtle.load(readFileSync(`${folder}/kirtle.wasm`));
process.stdout.write(JSON.stringify(await answers(kirtle, JSON.parse(readFileSync(questions, "utf8")))));
