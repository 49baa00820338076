// The SHA-256 of each answer of the WebAssembly module, for Node and for a browser: `questions` are function names with arguments.

const hex = (buffer) => Array.from(new Uint8Array(buffer), (byte) => byte.toString(16).padStart(2, "0")).join("");

function answer(kirtle, [name, ...texts]) {
  try {
    return kirtle[name](...texts);
  } catch (error) {
    if (!(error instanceof kirtle.InputError)) throw error;
    return error.json;
  }
}

export async function answers(kirtle, questions) {
  const digests = [];
  for (const question of questions) {
    const given = answer(kirtle, question);
    const bytes = typeof given === "string" ? new TextEncoder().encode(given) : given;
    digests.push(hex(await crypto.subtle.digest("SHA-256", bytes)));
  }
  return digests;
}
