// Reads schemas and documents from a JSON file. Writes what Ajv says of each document and of each schema, and the TypeScript of each
// schema.

import Ajv from "ajv/dist/2020.js";
import { compile } from "json-schema-to-typescript";
import { readFileSync } from "node:fs";

const { schemas, documents } = JSON.parse(readFileSync(process.argv[2], "utf8"));
const complaints = [];
const logger = { log: console.error, warn: (text) => complaints.push(text), error: (text) => complaints.push(text) };
const valid = {};
const types = {};
for (const [name, schema] of Object.entries(schemas)) {
  const validate = new Ajv.default({ logger }).compile(schema);
  valid[name] = (documents[name] ?? []).map((document) => validate(document));
  types[name] = await compile(schema, name, { bannerComment: "", ignoreMinAndMaxItems: true });
}
process.stdout.write(JSON.stringify({ complaints, valid, types }));
