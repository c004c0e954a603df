// Runs in the page before the application: what a person sees, and when.
const AWAITED = {
  list: '.case-row',
  advice: '.step:not(.older) .step-minutes',
};
const watched = { seen: null, thought: 0, longest: 0, shown: [], kept: [] };
globalThis.watched = watched;

new PerformanceObserver((list) => {
  for (const task of list.getEntries()) watched.longest = Math.max(watched.longest, task.duration);
}).observe({ type: 'longtask', buffered: true });

const awaited = AWAITED[globalThis.watching];
const look = new MutationObserver(() => {
  if (!document.querySelector(awaited)) return;
  look.disconnect();
  requestAnimationFrame(() => setTimeout(() => (watched.seen = performance.now())));
});
if (awaited) look.observe(document, { subtree: true, childList: true, attributeFilter: ['class'] });

// From the moment the core's worker is made until its last answer: it waits for nobody in between.
const RealWorker = Worker;
globalThis.Worker = class extends RealWorker {
  constructor(...given) {
    super(...given);
    const made = performance.now();
    this.addEventListener('message', () => (watched.thought = performance.now() - made));
  }
};

if (globalThis.watching === 'taps') {
  // The time of an event until the frame after it is painted, by the Event Timing API.
  new PerformanceObserver((list) => {
    for (const event of list.getEntries()) if (event.name === 'click') watched.shown.push(event.duration);
  }).observe({ type: 'event', durationThreshold: 16 });
  let tapped = 0;
  addEventListener('pointerup', (event) => (tapped = event.timeStamp), true);
  addEventListener('load', async () => {
    const { onChange } = await import('/field/log.js');
    onChange((change) => change.recorded && watched.kept.push(performance.now() - tapped));
  });
}
