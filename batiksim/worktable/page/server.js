// Talking with the worktable's server. The token stands behind the # of the address and never leaves this machine.

import { code, say } from "/page/words.js";

const token = location.hash.slice(1) || sessionStorage.getItem("worktable") || "";
if (token) sessionStorage.setItem("worktable", token);

export const page = crypto.randomUUID();

/** What the server refuses. plain : said beside the field where it stands, without naming the place. */
export class Refused extends Error {
  constructor(error, status) {
    super(error?.text || error?.problem || say("page.server.no_answer"));
    this.status = status;
    this.plain = error?.plain ?? this.message;
  }
}

async function fetched(path, options = {}) {
  let answer;
  try {
    answer = await fetch(path, { ...options, headers: { "x-worktable-token": token, "x-worktable-language": code, ...options.headers } });
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Refused({ text: say("page.server.stopped") }, 0);
  }
  if (answer.ok) return answer;
  let refusal = null;
  try {
    refusal = (await answer.json()).error;
  } catch {
    refusal = { text: say("page.server.failed", { status: answer.status }) };
  }
  throw new Refused(refusal, answer.status);
}

const post = (body, signal) => ({
  method: "POST", body: JSON.stringify(body ?? {}), headers: { "content-type": "application/json" }, signal,
});

/** Ask for data. What is asked `of` a cloth that has changed meanwhile, and isn't there any more, is null. */
export async function ask(name, body) {
  const answer = await fetched(`/api/${name}`, post(body));
  return answer.status === 204 ? null : answer.json();
}

/** Ask for raw pixels: {pixels, shape}, or null when a newer request or a change of the cloth has overtaken this one. */
export async function raw(name, body, signal) {
  const answer = await fetched(`/api/${name}`, post(body, signal));
  if (answer.status === 204) return null;
  const shape = answer.headers.get("x-shape").split(",").map(Number);
  return { pixels: new Uint8ClampedArray(await answer.arrayBuffer()), shape };
}

/** Send a file. */
export async function send(path, file, extra = {}) {
  const query = new URLSearchParams({ name: file.name, ...extra });
  const answer = await fetched(`/api/${path}?${query}`, { method: "POST", body: file });
  return answer.json();
}

/** Fetch a made file. */
export async function made(path) {
  const answer = await fetched(path);
  return answer.blob();
}

/** Hear what happens, for as long as the page is open. */
export async function listen(hear, lost) {
  let down = false;
  for (;;) {
    try {
      const answer = await fetched(`/api/events/${page}`);
      if (down) hear({ kind: "back" });
      down = false;
      const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
      let rest = "";
      for (;;) {
        const { done, value } = await reader.read();
        if (done) break;
        const lines = (rest + value).split("\n");
        rest = lines.pop();
        for (const line of lines) if (line) hear(JSON.parse(line));
      }
    } catch (error) {
      if (error instanceof Refused && error.status === 401) {
        lost(error);
        return;
      }
    }
    if (!down) lost(new Refused({ text: say("page.server.stopped") }, 0));
    down = true;
    await new Promise((go) => setTimeout(go, 1500));
  }
}
