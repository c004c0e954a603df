/** What the service worker uses of its scope; TypeScript's own worker library cannot stand beside that of the page. */
export interface ExtendableEvent extends Event {
  waitUntil(work: Promise<unknown>): void;
}
export interface FetchEvent extends ExtendableEvent {
  request: Request;
  respondWith(response: Promise<Response>): void;
}
export interface WorkerEvents {
  install: ExtendableEvent;
  activate: ExtendableEvent;
  sync: ExtendableEvent;
  message: MessageEvent;
  fetch: FetchEvent;
}
export interface WorkerScope {
  addEventListener<Name extends keyof WorkerEvents>(name: Name, listener: (event: WorkerEvents[Name]) => void): void;
  skipWaiting(): Promise<void>;
  clients: { claim(): Promise<void> };
}
