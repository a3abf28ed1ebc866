"use strict";
// Runs the engine beside the page. The newest question wins: what is older is dropped between two computations.
let made = null;
let engine = null;
let wanted = null;
let busy = false;
/// Ends a rest when a new question comes.
let wake = null;
let text = null;
/// The scenario that the engine has read.
let read = null;
const into = new TextEncoder();
const from = new TextDecoder();

onmessage = async ({ data }) => {
  if (data.engine === undefined) {
    wanted = data;
    wake?.();
    if (!busy) work();
    return;
  }
  try {
    text = data.text;
    const packed = Uint8Array.from(atob(data.engine), (c) => c.charCodeAt(0));
    const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
    made = await WebAssembly.compile(await new Response(stream).arrayBuffer());
    await start();
    postMessage({ kind: "ready" });
  } catch (problem) {
    postMessage({ kind: "broken", reason: String(problem) });
  }
};

async function start() {
  engine = (await WebAssembly.instantiate(made, {})).exports;
  read = null;
  ask({ changes: [], want: "text" });
}

/// One question to the engine; both are JSON.
function ask(question) {
  if (read !== text) question.text = read = text;
  const bytes = into.encode(JSON.stringify(question));
  const place = engine.giveway_place(bytes.length);
  if (!place) return '{"error":"the question is too long"}';
  new Uint8Array(engine.memory.buffer, place, bytes.length).set(bytes);
  const length = engine.giveway_ask();
  return from.decode(new Uint8Array(engine.memory.buffer, engine.giveway_answer(), length));
}

/// Lets newer questions in; a timer would wait some milliseconds each time.
const channel = new MessageChannel();
const pause = () => new Promise((go) => {
  channel.port1.onmessage = go;
  channel.port2.postMessage(0);
});

async function work() {
  busy = true;
  while (wanted) {
    const job = wanted;
    wanted = null;
    text = job.text;
    for (const part of job.parts) {
      if (part.wait) {
        await new Promise((go) => {
          wake = go;
          setTimeout(go, part.wait);
        });
        wake = null;
      }
      if (wanted) break;
      let answer;
      try {
        answer = ask({ changes: part.changes, want: part.want });
      } catch (problem) {
        // What it computed is lost, not the page: a new engine takes its place.
        answer = JSON.stringify({ error: `the engine stopped: ${problem}` });
        await start();
      }
      postMessage({ kind: "answer", number: job.number, of: part.of, answer });
      await pause();
      if (wanted) break;
    }
  }
  busy = false;
}
