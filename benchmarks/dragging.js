// Moves what is in the hand at an even rate, and watches which of the moves the page has answered.
async ([key, x, y, moves, rate, told]) => {
  const handle = document.querySelector(`[data-key="${key}"]`);
  const slip = document.querySelector(".slip");
  const answered = () => Number(slip.dataset[told]);
  const sent = [], latency = [], before = Number(slip.dataset.answered);
  const watching = new MutationObserver(() => {
    const now = performance.now();
    const count = Math.min(sent.length, answered() - before);
    for (let k = latency.length; k < count; k++) latency.push(now - sent[k]);
  });
  watching.observe(slip, { attributes: true });
  const start = performance.now();
  for (let k = 0; k < moves; k++) {
    await new Promise((done) => setTimeout(done, Math.max(0, start + (1000 * k) / rate - performance.now())));
    const angle = (2 * Math.PI * k) / 50;
    const at = { clientX: x + 40 * Math.sin(angle) + 8, clientY: y + 60 * Math.cos(angle) };
    sent.push(performance.now());
    handle.dispatchEvent(new PointerEvent("pointermove", { ...at, pointerId: 1, bubbles: true, buttons: 1 }));
  }
  const last = performance.now();
  while (latency.length < moves && performance.now() - last < 10000) await new Promise((d) => setTimeout(d, 2));
  watching.disconnect();
  return { latency, took: last - start, settled: performance.now() - last };
}
